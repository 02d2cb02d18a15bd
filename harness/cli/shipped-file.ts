import { join, relative } from 'node:path';
import type { Io } from './io.ts';
import { packageRoot } from './package-root.ts';

/** A file that ships with Evenfall, as seen from where the command was called. */
export function shippedFile(name: string, { cwd }: Io): string {
  const path = join(packageRoot, 'specs', name);
  return relative(cwd, path) || path;
}
