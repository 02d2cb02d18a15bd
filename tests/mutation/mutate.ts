/** `npm run mutate [-- GROUP …] [--sample LINES] [--least SHARE]`: changes the judging code in small ways and sees which changes no test notices. */
import { parseArgs } from 'node:util';
import { explanationOf } from './explained.ts';
import { groupNamed, mutationGroups } from './groups.ts';
import { type Mutant, mutate } from './mutants.ts';
import { sampledRange } from './sampled-range.ts';

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { sample: { type: 'string' }, least: { type: 'string', default: '0.9' } },
});
const lines = values.sample === undefined ? null : Number(values.sample);
if (lines !== null && !(Number.isInteger(lines) && lines > 0)) {
  process.stderr.write(`expected --sample with a whole number of lines, found ${values.sample}\n`);
  process.exit(64);
}
/** Least share of mutants that the tests have to notice. */
const least = Number(values.least);
if (!(least >= 0 && least <= 1)) {
  process.stderr.write(`expected --least with a share from 0 to 1, found ${values.least}\n`);
  process.exit(64);
}
const groups =
  positionals.length > 0 ? positionals.map((name) => groupNamed(name)) : mutationGroups;

let met = true;
for (const group of groups) {
  const mutants = await mutate(
    group,
    lines === null
      ? group.folders.map((folder) => `${folder}/**/*.ts`)
      : sampledRange(group, lines),
  );
  met = report(group.name, mutants) && met;
}
process.exit(met ? 0 : 1);

function report(name: string, mutants: readonly Mutant[]): boolean {
  const survivors = mutants.filter(({ survived }) => survived);
  const open = survivors.filter((mutant) => explanationOf(mutant) === undefined);
  const killed = mutants.length - survivors.length;
  const share = mutants.length === 0 ? 1 : killed / mutants.length;
  const percent = (100 * share).toFixed(1);
  process.stdout.write(
    `${name}: ${killed} of ${mutants.length} mutants killed (${percent} %), ${survivors.length - open.length} survivors explained, ${open.length} not\n`,
  );
  for (const { file, line, original, replacement } of open)
    process.stdout.write(`  ${file}:${line}  ${original}  ->  ${replacement}\n`);
  return share >= least;
}
