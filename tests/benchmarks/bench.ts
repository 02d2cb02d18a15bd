/** `npm run bench [-- --json] [--runs N] [--only WORD]`: what the harness costs, each figure beside its yardstick. */
import { parseArgs } from 'node:util';
import { buildsRow } from './builds-row.ts';
import { checkRow, conditionRow, libraryRows, memoryRow } from './command-rows.ts';
import { firmwareRows } from './firmware-rows.ts';
import { flickerRow } from './flicker-row.ts';
import { growthRows } from './growth-rows.ts';
import { labRows } from './lab-rows.ts';
import { pageRows } from './page-row.ts';
import { plantRows } from './plant-rows.ts';
import type { Missing, Row } from './row.ts';
import { storeRow } from './store-row.ts';
import { tableJson, tableText } from './table.ts';

const { values } = parseArgs({
  options: {
    json: { type: 'boolean', default: false },
    runs: { type: 'string', default: '5' },
    only: { type: 'string' },
  },
});
const runs = Number(values.runs);
if (!Number.isInteger(runs) || runs < 1) {
  process.stderr.write(`expected a whole number of runs, found ${values.runs}\n`);
  process.exit(64);
}

type Group = (runs: number) => Promise<Row | Missing | readonly (Row | Missing)[]>;
const groups: Readonly<Record<string, Group>> = {
  plant: plantRows,
  firmware: firmwareRows,
  flicker: flickerRow,
  library: libraryRows,
  check: checkRow,
  condition: conditionRow,
  store: storeRow,
  builds: buildsRow,
  lab: labRows,
  page: pageRows,
  memory: memoryRow,
  growth: growthRows,
};
const { only } = values;
if (only !== undefined && !(only in groups)) {
  process.stderr.write(`expected --only ${Object.keys(groups).join(', ')}; found ${only}\n`);
  process.exit(64);
}

const rows: (Row | Missing)[] = [];
for (const [name, group] of Object.entries(groups)) {
  if (only !== undefined && only !== name) continue;
  process.stderr.write(`${name} ...\n`);
  rows.push(...[await group(runs)].flat());
}
process.stdout.write(values.json ? tableJson(rows) : tableText(rows));
