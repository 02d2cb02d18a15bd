import { execFileSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join, resolve, sep } from 'node:path';

const here = import.meta.dirname;
const port = resolve(here, '../../drivers/plant/firmware');

/** Bytes of the example firmware, built as its Makefile says; with a patch of bugs/ applied to its source first. */
export function buildAlcove(bug?: string): Uint8Array {
  return buildFrom([], bug);
}

/** The same with a receiver of sACN of its own. */
export function buildAlcoveSacn(bug?: string): Uint8Array {
  return buildFrom(['SACN=1'], bug);
}

function buildFrom(options: readonly string[], bug?: string): Uint8Array {
  return inFolder((folder) => {
    // The objects of the first build are kept: a patch then costs one file.
    cpSync(healthyBuild(options), folder, { recursive: true, preserveTimestamps: true });
    if (bug) run('git', ['apply', resolve(here, 'bugs', `${bug}.patch`)], folder);
    make(folder, ...options);
    return readFileSync(join(folder, 'build', 'lamp.wasm'));
  });
}

const built = new Map<string, string>();

function healthyBuild(options: readonly string[]): string {
  const known = built.get(options.join());
  if (known !== undefined) return known;
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-alcove-'));
  process.once('exit', () => rmSync(folder, { recursive: true, force: true }));
  cpSync(join(here, 'alcove'), folder, {
    recursive: true,
    filter: isSource,
  });
  make(folder, ...options);
  built.set(options.join(), folder);
  return folder;
}

/** The same with a main loop of its own. */
export function buildAlcoveMainLoop(bug?: string): Uint8Array {
  return buildAlcoveWith('-DMAIN_LOOP', bug);
}

/** Bytes of the example firmware, built with other options of the compiler as well. */
export function buildAlcoveWith(style: string, bug?: string): Uint8Array {
  return inFolder((folder) => {
    cpSync(join(here, 'alcove'), folder, { recursive: true, filter: isSource });
    if (bug) run('git', ['apply', resolve(here, 'bugs', `${bug}.patch`)], folder);
    make(folder, `STYLE=${style}`);
    return readFileSync(join(folder, 'build', 'lamp.wasm'));
  });
}

/** A program of this machine, from the example firmware: `edit` changes its folder first. It is the caller's to remove. */
export function buildAlcoveNatively(
  folder: string,
  target: 'native' | 'sanitize',
  { style = '', edit = () => {} }: { style?: string; edit?: (folder: string) => void } = {},
): string {
  cpSync(join(here, 'alcove'), folder, { recursive: true, filter: isSource });
  edit(folder);
  make(folder, target, `STYLE=${style}`);
  return join(folder, 'build', `lamp-${target}`);
}

/** The same of one C source. */
export function buildSourceNatively(
  folder: string,
  file: string,
  options: readonly string[] = [],
): string {
  const out = join(folder, 'lamp-native');
  const sources = [join(here, file), join(port, 'native/native-lamp.c')];
  run('cc', ['-std=c11', '-g', `-I${port}`, ...options, '-o', out, ...sources], folder);
  return out;
}

const isSource = (from: string): boolean => !from.endsWith(`${sep}build`);

function make(folder: string, ...options: readonly string[]): void {
  run('make', ['-s', `PORT=${port}`, ...options], folder);
}

/** Bytes of one C source, built against lamp-port.h. */
export function buildSource(file: string, options: readonly string[] = []): Uint8Array {
  return inFolder((folder) => {
    const flags = ['--target=wasm32', '-nostdlib', '-ffreestanding', '-O1', `-I${port}`];
    const link = ['-Wl,--no-entry', '-Wl,--stack-first', '-Wl,-z,stack-size=16384'];
    const out = join(folder, 'lamp.wasm');
    run('clang', [...flags, ...link, ...options, '-o', out, join(here, file)], folder);
    return readFileSync(out);
  });
}

function inFolder<T>(work: (folder: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-firmware-'));
  try {
    return work(folder);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function run(program: string, options: readonly string[], folder: string): void {
  // With wasm-opt of this repository in the path, clang would hand it what it optimises, and names and lines would be gone.
  const path = (process.env['PATH'] ?? '').split(delimiter);
  const PATH = path.filter((at) => !at.endsWith(join('node_modules', '.bin'))).join(delimiter);
  const env = { ...process.env, PATH };
  try {
    execFileSync(program, options, { cwd: folder, encoding: 'utf8', stdio: 'pipe', env });
  } catch (error) {
    const { code, stderr = '' } = error as { code?: string; stderr?: string };
    if (code === 'ENOENT' || /wasm-ld|clang: (not found|No such file)/.test(stderr))
      throw new Error(
        'The tests of firmware in C need clang, lld, make and git. On Debian: apt-get install clang lld make git',
        { cause: error },
      );
    throw new Error(`${program} ${options.join(' ')} failed:\n${stderr}`, { cause: error });
  }
}
