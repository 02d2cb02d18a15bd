import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { lockedPackages, refusedLicences } from './licence-rules.ts';

/**
 * `npm run licences`: the licences of everything that `npm ci` may install, with their counts; ends with 1 where one is not allowed.
 * `npm run sbom` lists the packages themselves, for other programs.
 */
const packages = lockedPackages(
  readFileSync(resolve(import.meta.dirname, '../package-lock.json'), 'utf8'),
);
const counts = new Map<string, number>();
for (const { licence, isShipped } of packages) {
  const row = `${isShipped ? 'installed with Evenfall' : 'development only'}\t${licence ?? 'not stated'}`;
  counts.set(row, (counts.get(row) ?? 0) + 1);
}
for (const [row, count] of [...counts].sort()) process.stdout.write(`${count}\t${row}\n`);
const refused = refusedLicences(packages);
for (const text of refused) process.stderr.write(`${text}\n`);
if (refused.length > 0) process.exitCode = 1;
