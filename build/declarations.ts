import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { libraryNames } from './library.ts';
import { rollUp } from './roll-up.ts';

const root = resolve(import.meta.dirname, '..');

/** The types of what the package exports, by the name behind `evenfall/`: one self-contained declaration file each. */
export function declarationsOfLibrary(): ReadonlyMap<string, string> {
  const compiler = join(root, 'node_modules/typescript/bin/tsc');
  execFileSync(process.execPath, [compiler, '-p', 'tsconfig.library.json'], {
    cwd: root,
    stdio: 'inherit',
  });
  const tree = join(root, 'node_modules/.cache/evenfall-declarations/harness/exports');
  return new Map(libraryNames.map((name) => [name, rollUp(join(tree, `${name}.d.ts`))]));
}

export function writeDeclarations(folder: string): void {
  mkdirSync(join(root, folder, 'exports'), { recursive: true });
  for (const [name, text] of declarationsOfLibrary())
    writeFileSync(join(root, folder, 'exports', `${name}.d.ts`), text);
}

/** Where the report of an export is kept. */
export function reportFile(name: string): string {
  return join(root, 'docs/api', `${name}.txt`);
}

/** All signatures of an export, without the words about them. */
export function apiReport(name: string, declarations: string): string {
  // What stands in quotes is no comment.
  const text = declarations.replace(
    /("(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*')|\/\*[\s\S]*?\*\/|\/\/.*/g,
    (_, quoted = '') => quoted,
  );
  const lines = text.split('\n').map((line) => line.trimEnd());
  return `evenfall/${name}\n\n${lines.filter((line) => line !== '').join('\n')}\n`;
}

export function writeReports(): void {
  mkdirSync(join(root, 'docs/api'), { recursive: true });
  for (const [name, text] of declarationsOfLibrary())
    writeFileSync(reportFile(name), apiReport(name, text));
}
