/** `npm run mutate [-- GROUP …] [--sample LINES] [--only TEXT] [--tests TEXT] [--least SHARE] [--patience MS] [--survivors] [--write]`: changes the judging code in small ways and sees which changes no test notices. */
import { parseArgs } from 'node:util';
import { explanationOf } from './explained.ts';
import { filesIn } from './files-in.ts';
import { groupNamed, type MutationGroup, mutationGroups } from './groups.ts';
import { type Mutant, mutate } from './mutants.ts';
import { type Figures, shareKilled, writeResults } from './results.ts';
import { sampledRange } from './sampled-range.ts';

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    sample: { type: 'string' },
    only: { type: 'string' },
    tests: { type: 'string' },
    least: { type: 'string', default: '0.9' },
    patience: { type: 'string', default: '2000' },
    survivors: { type: 'boolean', default: false },
    write: { type: 'boolean' },
  },
});
const lines = values.sample === undefined ? null : Number(values.sample);
if (lines !== null && !(Number.isInteger(lines) && lines > 0)) {
  process.stderr.write(`expected --sample with a whole number of lines, found ${values.sample}\n`);
  process.exit(64);
}
if (lines !== null && values.write) {
  process.stderr.write('expected the whole group, found --sample with --write\n');
  process.exit(64);
}
/** A part of the paths of the files to change. */
const only = values.only ?? '';
if (only !== '' && (values.write || lines !== null)) {
  process.stderr.write(
    'expected whole groups or whole files, found --only with --write or --sample\n',
  );
  process.exit(64);
}
/** Least share of the mutants not explained that the tests have to notice. */
const least = Number(values.least);
if (!(least >= 0 && least <= 1)) {
  process.stderr.write(`expected --least with a share from 0 to 1, found ${values.least}\n`);
  process.exit(64);
}
const patience = Number(values.patience);
if (!(patience > 0)) {
  process.stderr.write(`expected --patience with a time in ms, found ${values.patience}\n`);
  process.exit(64);
}
const groups =
  positionals.length > 0 ? positionals.map((name) => groupNamed(name)) : mutationGroups;

let met = true;
for (const whole of groups) {
  const group = askingOnly(whole, values.tests?.split(',') ?? ['']);
  const mutants = await mutate(
    group,
    lines === null
      ? filesIn(group.folders, '.ts')
          .filter((file) => file.includes(only))
          .map((file) => ({ file }))
      : sampledRange(group, lines),
    { onlySurvivors: values.survivors, patience },
  );
  met = report(group.name, mutants) && met;
}
process.exit(met ? 0 : 1);

/** A group of which the test files alone are asked whose paths hold one of the texts: what others would notice counts as missed. */
function askingOnly(group: MutationGroup, texts: readonly string[]): MutationGroup {
  const tests = filesIn(group.tests, '.test.ts').filter((file) =>
    texts.some((text) => file.includes(text)),
  );
  return { ...group, tests };
}

function report(group: string, mutants: readonly Mutant[]): boolean {
  const survivors = mutants.filter(({ survived }) => survived);
  const open = survivors.filter((mutant) => explanationOf(mutant) === undefined);
  const figures: Figures = {
    group,
    mutants: mutants.length,
    killed: mutants.length - survivors.length,
    explained: survivors.length - open.length,
  };
  const share = shareKilled(figures);
  process.stdout.write(
    `${group}: ${figures.killed} of ${mutants.length} mutants killed, ${figures.explained} survivors explained, ${open.length} not (${(100 * share).toFixed(1)} %)\n`,
  );
  for (const { file, line, original, replacement } of open)
    process.stdout.write(`  ${file}:${line}  ${original}  ->  ${replacement}\n`);
  if (values.write) writeResults(figures);
  return share >= least;
}
