import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { entryPoint, fromSources } from '../entry-point.ts';
import { packageRoot } from '../inputs/shipped-file.ts';

/**
 * SHA-256 of all the code that a result of the simulated lamp comes from: the program that was built, or its sources with the versions of
 * its packages, and the engine that computes (its mathematics may differ).
 */
export function programDigest(): string {
  const built = dirname(fileURLToPath(entryPoint('lanes/plant-worker')));
  const files = fromSources
    ? [...codeIn(join(packageRoot, 'harness')), ...codeIn(join(packageRoot, 'drivers'))]
    : codeIn(built);
  const packages = ['package.json', 'package-lock.json', 'node_modules/.package-lock.json'];
  const root = fromSources ? packageRoot : built;
  const hash = createHash('sha256').update(`${process.versions.v8} ${process.arch}\n`);
  for (const file of files.sort())
    hash.update(`${relative(root, file)}\n`).update(readFileSync(file));
  for (const name of packages) hash.update(`${name}\n`).update(contentOf(join(packageRoot, name)));
  return hash.digest('hex');
}

function codeIn(folder: string): string[] {
  const entries = readdirSync(folder, { recursive: true, withFileTypes: true });
  return entries
    .filter((entry) => entry.isFile() && /\.(ts|js|json)$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name));
}

/** A packed product has no list of the versions of its packages. */
function contentOf(path: string): Uint8Array {
  try {
    return readFileSync(path);
  } catch {
    return new Uint8Array(0);
  }
}
