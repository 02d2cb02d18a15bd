import { spawnSync } from 'node:child_process';
import { existsSync, rmSync } from 'node:fs';
import { getPriority } from 'node:os';
import { resolve } from 'node:path';
import { makePageAssets } from '../build/page-assets.ts';
import { bundleProgram } from '../build/program.ts';

/** Programs that the tests drive for real, and Debian's package for each. */
const wanted: readonly {
  readonly program: string;
  readonly debian: string;
  readonly why: string;
}[] = [
  { program: 'chromium', debian: 'chromium', why: 'pages are opened in a real browser' },
  { program: 'clang', debian: 'clang', why: 'firmware in C is built for the simulated lamp' },
  { program: 'wasm-ld', debian: 'lld', why: 'links that firmware' },
  { program: 'cc', debian: 'gcc libc6-dev', why: 'builds that firmware for this machine' },
  {
    program: 'llvm-symbolizer',
    debian: 'llvm',
    why: 'reads debug information as an independent program',
  },
  {
    program: 'xmllint',
    debian: 'libxml2-utils',
    why: 'reads JUnit files as an independent parser',
  },
  { program: 'openssl', debian: 'openssl', why: 'verifies signatures as an independent program' },
  {
    program: 'pg_ctlcluster',
    debian: 'postgresql',
    why: 'holds the queue and the tables of a lab as a server',
  },
  { program: 'make', debian: 'make', why: 'builds firmware by its own makefile' },
  { program: 'git', debian: 'git', why: 'searches the history of a firmware' },
  { program: 'patch', debian: 'patch', why: 'seeds bugs into firmware sources' },
];

/** A third step of niceness halves a process's share where others compute as well (Linux: 1.25 a step); more would starve it on a busy machine. */
const steps = 3;

/**
 * Runs once before all tests: the scripts and styles of pages are made, the programs that tests drive are there, and the program
 * itself is built, as users run it. What it returns runs after them.
 */
export default async function setUp(): Promise<() => void> {
  await makePageAssets();
  installPrograms();
  drawSample();
  process.env['EVENFALL_TEST_NICENESS'] = `${Math.min(19, getPriority() + steps)}`;
  const cache = `node_modules/.cache/evenfall-tests-of-run-${process.pid}`;
  const program = `${cache}/program`;
  await bundleProgram(program);
  // Of tests that run the program, and of the workers and processes that the sources start (harness/workflow/entry-point.ts).
  process.env['EVENFALL_PROGRAM'] = resolve(program);
  return () => rmSync(cache, { recursive: true, force: true });
}

/** Which part of each campaign is tried (`tests/sampled.ts`): another with each commit, the same for all who test that commit. */
function drawSample(): void {
  const { stdout } = spawnSync('git', ['rev-parse', '--short=8', 'HEAD'], { encoding: 'utf8' });
  const sample = (process.env['EVENFALL_SAMPLE'] ||= stdout?.trim() || '1');
  const rest = sample === 'all' ? '' : '; the whole: npm run campaigns';
  process.stdout.write(`Campaigns: EVENFALL_SAMPLE=${sample}${rest}\n`);
}

/** Installs what is missing with apt-get where possible (root, on Debian), and otherwise names the command to run. */
function installPrograms(): void {
  const missing = wanted.filter(({ program }) => !found(program));
  if (missing.length === 0) return;
  const packages = [...new Set(missing.map(({ debian }) => debian))];
  const command = `apt-get install -y --no-install-recommends ${packages.join(' ')}`;
  if (process.getuid?.() === 0 && found('apt-get')) {
    process.stderr.write(`The tests need ${packages.join(', ')}: ${command}\n`);
    const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
    spawnSync('apt-get', ['update'], { stdio: 'ignore', env });
    spawnSync('apt-get', command.split(' ').slice(1), {
      stdio: ['ignore', 'ignore', 'inherit'],
      env,
    });
  }
  const still = missing.filter(({ program }) => !found(program));
  if (still.length === 0) return;
  const list = still.map(({ program, why }) => `  ${program}: ${why}`).join('\n');
  throw new Error(
    `The tests need programs that are not installed:\n${list}\nInstall them with: sudo ${command}`,
  );
}

function found(program: string): boolean {
  const folders = (process.env['PATH'] ?? '').split(':');
  return folders.some((folder) => existsSync(`${folder}/${program}`));
}
