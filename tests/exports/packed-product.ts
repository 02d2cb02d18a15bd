import { execFileSync, spawn } from 'node:child_process';
import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, relative, resolve } from 'node:path';
import type { Ended } from '../cli/program.ts';

const root = resolve(import.meta.dirname, '../..');

/** A folder outside of the repository with the packed product in `node_modules`, and nothing else. */
export interface PackedProduct {
  readonly folder: string;
  /** What the tarball holds, as paths. */
  readonly files: readonly string[];
  remove(): void;
}

/**
 * Packs the product as `npm pack` does and unpacks it into an empty folder. Its dependencies, and what a TypeScript
 * project adds, are linked to those that are installed here: nothing is downloaded.
 */
export function unpackProduct(): PackedProduct {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-packed-'));
  const stage = join(root, `node_modules/.cache/evenfall-stage-${process.pid}`);
  try {
    const tarball = pack(stage);
    const modules = join(folder, 'node_modules');
    mkdirSync(join(modules, '.bin'), { recursive: true });
    execFileSync('tar', ['xf', tarball, '-C', modules]);
    const product = join(modules, 'evenfall');
    cpSync(join(modules, 'package'), product, { recursive: true });
    rmSync(join(modules, 'package'), { recursive: true });
    symlinkSync('../evenfall/dist/main.js', join(modules, '.bin/evenfall'));
    for (const name of [...dependencies(), '@types/node', 'undici-types']) link(name, modules);
    const files = readdirSync(product, { recursive: true, encoding: 'utf8' });
    return { folder, files, remove: () => rmSync(folder, { recursive: true }) };
  } finally {
    rmSync(stage, { recursive: true, force: true });
  }
}

/** A copy of what is packed, built by the scripts that npm runs before it packs: the checkout's own dist stays as it is. */
function pack(stage: string): string {
  const { files } = manifest();
  const out = relative(root, join(stage, 'dist'));
  for (const script of ['prepack', 'build'])
    execFileSync('npm', ['run', '--silent', script, '--', '--out', out], { cwd: root });
  for (const name of files.filter((file) => file !== 'dist'))
    cpSync(join(root, name), join(stage, name), { recursive: true });
  // npm 10, which comes with Node 20 and 22, runs `prepare` even where it is told to ignore scripts.
  const packed = { ...manifest(), scripts: {} };
  writeFileSync(join(stage, 'package.json'), JSON.stringify(packed, null, 2));
  const pack = ['pack', '--silent', '--ignore-scripts', '--pack-destination', stage];
  return join(stage, execFileSync('npm', pack, { cwd: stage, encoding: 'utf8' }).trim());
}

function dependencies(): string[] {
  return Object.keys(manifest().dependencies);
}

function manifest(): {
  readonly files: readonly string[];
  readonly dependencies: Readonly<Record<string, string>>;
} {
  return JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
}

function link(name: string, modules: string): void {
  mkdirSync(dirname(join(modules, name)), { recursive: true });
  symlinkSync(join(root, 'node_modules', name), join(modules, name));
}

/** Writes the examples of a page of the docs, each under the name that stands behind its language. */
export function writeExamples(page: string, folder: string): void {
  const text = readFileSync(join(root, 'docs', page), 'utf8');
  for (const [, name = '', code = ''] of text.matchAll(/^```\w+ (\S+)\n(.*?)^```$/gms))
    writeFileSync(join(folder, name), code);
}

/** Runs a program in the folder, with nothing of this process's settings. */
export function runIn(
  folder: string,
  [program = '', ...args]: readonly string[],
  env: Readonly<Record<string, string>> = {},
): Promise<Ended> {
  const { PATH = '', HOME = '' } = process.env;
  const child = spawn(program, args, { cwd: folder, env: { PATH, HOME, ...env } });
  let [stdout, stderr] = ['', ''];
  child.stdout.on('data', (piece) => (stdout += piece));
  child.stderr.on('data', (piece) => (stderr += piece));
  return new Promise((done, reject) => {
    child.on('error', reject);
    child.on('close', (exitCode) => done({ exitCode, stdout, stderr }));
  });
}

/** The compiler that is installed here. */
export const compiler: readonly string[] = [
  process.execPath,
  join(root, 'node_modules/typescript/bin/tsc'),
];
