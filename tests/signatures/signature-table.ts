/**
 * `npm run signature-table -- --state FILE [--claims named|commit|all] [--size 1] [--seed 1] [--jobs N] [--minutes N]
 * [--fault REGEXP] [--only REGEXP] [--write]`: seeds every
 * fault into the simulated lamp and keeps what of each claim fails. Seed 1 at the nominal size makes the signatures, which `--write` stores;
 * every other seed and size is held against them, and the figures are printed. What the file knows is not run again; more claims are added to it.
 */
import { writeFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { parseArgs } from 'node:util';
import { group } from 'd3-array';
import { faults } from '../../drivers/plant/faults/faults.ts';
import { leastFit } from '../../harness/diagnose/causes/likely-causes.ts';
import { readSignatures, type StoredSignatures } from '../../harness/diagnose/causes/signature.ts';
import { type Claims, errandsOf, shippedLamps, trialOf } from './errands.ts';
import { figuresText, placedCause } from './figures.ts';
import { gather } from './gather.ts';
import { GatheredFile } from './gathered.ts';
import { claimsOf, tableOf } from './table.ts';

const target = `${import.meta.dirname}/../../harness/diagnose/causes/signatures.json`;
const { values } = parseArgs({
  options: {
    state: { type: 'string' },
    claims: { type: 'string', default: 'commit' },
    size: { type: 'string', default: '1' },
    seed: { type: 'string', default: '1' },
    jobs: { type: 'string', default: String(availableParallelism()) },
    minutes: { type: 'string', default: '600' },
    fault: { type: 'string', default: '' },
    only: { type: 'string', default: '' },
    write: { type: 'boolean', default: false },
  },
});

function refuse(text: string): never {
  process.stderr.write(`${text}\n`);
  process.exit(64);
}

function figure(name: 'size' | 'seed' | 'jobs' | 'minutes'): number {
  const found = Number(values[name]);
  return found >= 0 ? found : refuse(`expected a number for --${name}, found ${values[name]}`);
}

function isClaims(word: string): word is Claims {
  return ['named', 'commit', 'all'].includes(word);
}

const { state, claims } = values;
if (state === undefined) refuse('expected --state FILE, which keeps the results');
if (!isClaims(claims)) refuse(`expected --claims named, commit or all, found ${claims}`);

const lamps = shippedLamps();
const file = new GatheredFile(state);
const wanted = {
  claims,
  faults: new RegExp(values.fault),
  only: new RegExp(values.only),
  size: figure('size'),
  seed: figure('seed'),
};
await gather(errandsOf(wanted, lamps), {
  file,
  jobs: figure('jobs'),
  until: performance.now() + 60_000 * figure('minutes'),
});

const specs = [...new Set(lamps.flatMap(({ plans }) => plans.map(({ spec }) => spec)))].sort();
const nominal = { size: 1, seed: 1 };
const table = tableOf(faults, (fault) => trialOf(fault, lamps, nominal), file, specs);
const signatures = readSignatures(table);
const placed = file.trials().flatMap((trial) => {
  const found = placedCause(trial, claimsOf(file.of(trial).values()), signatures);
  return found ? [found] : [];
});
const byKind = group(placed, ({ trial }) => {
  const nominalSize = faults.find(({ id }) => id === trial.fault)?.size.nominal ?? 1;
  return `seed ${trial.seed}, ${(trial.size / nominalSize).toPrecision(2)} of the nominal size`;
});
for (const [kind, own] of byKind) {
  process.stdout.write(`${kind}: ${figuresText(own, leastFit)}\n`);
  for (const { trial, place, first } of own)
    if (place !== 0)
      process.stdout.write(`  ${trial.fault} took place ${place + 1}, behind ${first}\n`);
}
const silent = faults.filter(({ id }) => !table.causes.some(({ fault }) => fault === id));
process.stdout.write(`without a signature: ${silent.map(({ id }) => id).join(', ') || 'none'}\n`);
if (values.write) writeFileSync(target, `${linesOf(table)}\n`);

/** A line a cause, so that a change of one is a change of one line. */
function linesOf({ causes, ...head }: StoredSignatures): string {
  const start = JSON.stringify({ ...head, causes: [] }).slice(0, -2);
  return `${start}\n${causes.map((cause) => JSON.stringify(cause)).join(',\n')}\n]}`;
}
