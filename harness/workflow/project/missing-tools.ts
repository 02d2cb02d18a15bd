import { accessSync, constants } from 'node:fs';
import { delimiter, join } from 'node:path';

/** What the Makefile of the starter firmware calls, by the Debian packages that have it. */
const tools: Readonly<Record<string, string>> = { clang: 'clang', 'wasm-ld': 'lld', make: 'make' };

/** Debian packages of the tools that are not found in the folders of `path`. */
export function missingTools(path: string): readonly string[] {
  const folders = path.split(delimiter);
  return Object.entries(tools).flatMap(([tool, debian]) =>
    folders.some((folder) => isProgram(join(folder, tool))) ? [] : [debian],
  );
}

function isProgram(file: string): boolean {
  try {
    accessSync(file, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}
