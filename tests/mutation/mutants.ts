import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { filesIn } from './files-in.ts';
import type { MutationGroup } from './groups.ts';
import { type Change, instrument, type Source } from './instrument.ts';

/** A change of the code, and whether every test of its group passed with it. */
export interface Mutant extends Change {
  readonly survived: boolean;
}

/** Runs the group's tests against each change of `sources`, but for those that act while the code is loaded. */
export async function mutate(
  group: MutationGroup,
  sources: readonly Source[],
): Promise<readonly Mutant[]> {
  const folder = mkdtempSync(join(tmpdir(), 'changes-'));
  try {
    const instrumented = await instrument(sources);
    writeFileSync(join(folder, 'code.json'), JSON.stringify(instrumented));
    writeFileSync(join(folder, 'log'), '');
    while (!(await runTests(group, folder)));
    const seen = told(folder);
    return instrumented.changes
      .filter(({ id }) => seen.get(id) !== 'static')
      .map((change) => ({ ...change, survived: seen.get(change.id) !== 'noticed' }));
  } finally {
    rmSync(folder, { recursive: true });
  }
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

/** A change that says nothing for so long hangs. In ms. */
const patience = 300_000;

/** Whether all changes were tried; a change that hangs or ends the process is one that the tests notice. */
async function runTests({ tests }: MutationGroup, folder: string): Promise<boolean> {
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
        MUTATION_KNOWN: [...told(folder).keys()].join(','),
        MUTATION_TESTS: JSON.stringify(filesIn(tests, '.test.ts').map((file) => resolve(file))),
      },
    },
  );
  child.stdout.on('data', (part: Buffer) => output.push(part));
  child.stderr.on('data', (part: Buffer) => output.push(part));
  const watch = setInterval(() => {
    if (Date.now() - statSync(log).mtimeMs > patience && child.pid)
      process.kill(-child.pid, 'SIGKILL');
  }, 1000);
  await new Promise((done) => child.on('close', done));
  clearInterval(watch);
  const lines = readFileSync(log, 'utf8').trimEnd().split('\n');
  const last = lines.at(-1) ?? '';
  if (last === 'end') return true;
  if (!last.startsWith('try ')) throw new Error(`the tests fail as they are\n${output.join('')}`);
  writeFileSync(log, `${[...lines, last.replace('try', 'noticed')].join('\n')}\n`);
  return false;
}
