/**
 * `npm run coverage-table [-- --runs N] [--scene REGEXP] [--kind WORD] [--json]`: how often value ± U holds the truth, for every
 * metric that reads samples and every kind of disturbance. Takes about an hour for the whole table.
 */
import { parseArgs } from 'node:util';
import { findMetric } from '../../harness/measure/metrics.ts';
import { type DisturbanceName, disturbances } from './disturbances.ts';
import { scenes } from './scenes.ts';
import { type Row, tableHead, tableLine } from './table.ts';
import { tally } from './tally.ts';

const { values } = parseArgs({
  options: {
    runs: { type: 'string', default: '300' },
    scene: { type: 'string', default: '' },
    kind: { type: 'string', default: '' },
    json: { type: 'boolean', default: false },
  },
});
const runs = Number(values.runs);
if (!Number.isInteger(runs) || runs < 1) {
  process.stderr.write(`expected a whole number of runs, found ${values.runs}\n`);
  process.exit(64);
}

const kinds = (Object.keys(disturbances) as DisturbanceName[]).filter((kind) =>
  kind.includes(values.kind),
);
const wanted = new RegExp(values.scene);
const rows: Row[] = [];
if (!values.json) process.stdout.write(tableHead(kinds));
for (const [name, make] of Object.entries(scenes)) {
  if (!wanted.test(name)) continue;
  const metric = findMetric(name.split(' ')[0] ?? '');
  if (!metric) throw new Error(`no metric for the scene "${name}"`);
  const began = performance.now();
  const cells = kinds.map((kind) => ({
    kind,
    tally: tally(metric, make, disturbances[kind], runs),
  }));
  process.stderr.write(`${name}: ${((performance.now() - began) / 1000).toFixed(1)} s\n`);
  const row = { name, cells };
  rows.push(row);
  if (!values.json) process.stdout.write(tableLine(row));
}
if (values.json) process.stdout.write(`${JSON.stringify(rows)}\n`);
