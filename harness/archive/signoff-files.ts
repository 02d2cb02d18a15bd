import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileSystemError } from './archive-error.ts';
import { signoffsFolder } from './manifest.ts';
import { parseReleaseStatement } from './statement.ts';

/**
 * A sign-off is two envelopes of one number and name: `signoffs/01-mira.release.dsse.json` says what was decided,
 * `signoffs/01-mira.test-result.dsse.json` the same run's result for tools that know nothing of lamps.
 */
export const releaseSuffix = '.release.dsse.json';
export const testResultSuffix = '.test-result.dsse.json';

/** Files of the folder of sign-offs, in the order of their numbers; none where nothing was signed. */
export async function listSignoffFiles(folder: string): Promise<string[]> {
  const path = join(folder, signoffsFolder);
  try {
    const names = (await readdir(path)).filter((name) => !name.endsWith('.part'));
    return names.sort().map((name) => `${signoffsFolder}/${name}`);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw fileSystemError(error, `reading ${path}`);
  }
}

/** Whether anybody decided on the run, with whatever key. A signed run is never changed. */
export async function isSigned(folder: string): Promise<boolean> {
  return (await listSignoffFiles(folder)).some((file) => file.endsWith(releaseSuffix));
}

/** The newest decision as it stands in the file, unproven: good for a list, not for a release. */
export async function lastDecision(folder: string): Promise<string | null> {
  const files = await listSignoffFiles(folder);
  const last = files.filter((file) => file.endsWith(releaseSuffix)).at(-1);
  if (last === undefined) return null;
  const text = await readFile(join(folder, last), 'utf8');
  try {
    const payload = Buffer.from(JSON.parse(text).payload, 'base64');
    return parseReleaseStatement(payload)?.predicate.decision ?? 'unreadable';
  } catch {
    return 'unreadable';
  }
}
