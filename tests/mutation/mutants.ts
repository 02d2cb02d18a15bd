import { spawn } from 'node:child_process';
import {
  appendFileSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { type Earlier, earlierRuns } from './earlier.ts';
import { filesIn } from './files-in.ts';
import type { MutationGroup } from './groups.ts';
import { type Change, instrument, type Source } from './instrument.ts';
import { tooSlow } from './switch.ts';

/** A change of the code, and whether every test of its group passed with it. */
export interface Mutant extends Change {
  readonly survived: boolean;
}

/** How changes are tried. */
export interface Trial {
  /** What was noticed at an earlier run is not tried again. */
  readonly onlySurvivors: boolean;
  /** How long the tests of one change may take together, in ms of the processor. */
  readonly patience: number;
}

/** Runs the group's tests against each change of `sources`, but for those that act while the code is loaded. */
export async function mutate(
  group: MutationGroup,
  sources: readonly Source[],
  trial: Trial,
): Promise<readonly Mutant[]> {
  const folder = mkdtempSync(join(tmpdir(), 'changes-'));
  try {
    const instrumented = await instrument(sources);
    writeFileSync(join(folder, 'code.json'), JSON.stringify(instrumented));
    const earlier = wholeFiles(sources) ? earlierRuns(group.name, instrumented.changes) : undefined;
    const known = trial.onlySurvivors ? (earlier?.noticed ?? []) : [];
    writeFileSync(join(folder, 'log'), known.map((id) => `noticed ${id}\n`).join(''));
    while (!(await runTests(group, folder, trial.patience, earlier)));
    const seen = told(folder);
    return instrumented.changes
      .filter(({ id }) => seen.get(id) !== 'static')
      .map((change) => ({ ...change, survived: seen.get(change.id) !== 'noticed' }));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function wholeFiles(sources: readonly Source[]): boolean {
  return sources.every(({ first }) => first === undefined);
}

/** What is said of a change; other lines tell of tests. */
const words: readonly string[] = ['try', 'noticed', 'missed', 'static'];

/** By change: what was said of it last, but for `static`, which holds only where no test tried it. */
function told(folder: string): Map<string, string> {
  const seen = new Map<string, string>();
  for (const line of readFileSync(join(folder, 'log'), 'utf8').split('\n')) {
    const [what = '', id = ''] = line.split(' ');
    if (!words.includes(what)) continue;
    if (what !== 'static' || !seen.has(id)) seen.set(id, what);
  }
  return seen;
}

/** Tests that say nothing for so long hang, whether the code is changed or not. In ms; long, since the machine may be busy. */
const longestSilence = 300_000;

function hangs(log: string): boolean {
  return Date.now() - statSync(log).mtimeMs > longestSilence;
}

/** A run that goes on after a change that hung does not look at them again. */
function slowTests(log: string): readonly string[] {
  const lines = readFileSync(log, 'utf8').split('\n');
  return lines.filter((line) => line.startsWith(tooSlow)).map((line) => line.slice(tooSlow.length));
}

function lastLine(log: string): string {
  return readFileSync(log, 'utf8').trimEnd().split('\n').at(-1) ?? '';
}

/** Whether all changes were tried; a change that hangs or ends the process is one that the tests notice. */
async function runTests(
  { tests }: MutationGroup,
  folder: string,
  patience: number,
  earlier: Earlier | undefined,
): Promise<boolean> {
  const log = join(folder, 'log');
  const output: Buffer[] = [];
  const child = spawn(
    process.execPath,
    ['node_modules/vitest/vitest.mjs', 'run', '--config', 'tests/mutation/vitest.config.ts'],
    {
      // A group of its own, to be ended with what it started.
      detached: true,
      env: {
        ...process.env,
        MUTATION_CODE: join(folder, 'code.json'),
        MUTATION_LOG: log,
        MUTATION_PATIENCE: String(patience),
        MUTATION_SLOW: JSON.stringify(slowTests(log)),
        MUTATION_KNOWN: [...told(folder).keys()].join(','),
        MUTATION_TESTS: JSON.stringify(filesIn(tests, '.test.ts').map((file) => resolve(file))),
      },
    },
  );
  child.stdout.on('data', (part: Buffer) => output.push(part));
  child.stderr.on('data', (part: Buffer) => output.push(part));
  const watch = setInterval(() => {
    if (child.pid && hangs(log)) process.kill(-child.pid, 'SIGKILL');
  }, 1000);
  // A run that is broken off is not lost.
  const keep = () => {
    const seen = told(folder);
    earlier?.keep((id) => seen.get(id) === 'noticed');
  };
  const keeping = setInterval(keep, 20_000);
  await new Promise((done) => child.on('close', done));
  clearInterval(watch);
  clearInterval(keeping);
  keep();
  const last = lastLine(log);
  if (last === 'end') return true;
  if (!last.startsWith('try ')) throw new Error(`the tests fail as they are\n${output.join('')}`);
  appendFileSync(log, `${last.replace('try', 'noticed')}\n`);
  return false;
}
