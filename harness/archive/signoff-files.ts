import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { fileSystemError } from './archive-error.ts';
import { signoffsFolder } from './manifest.ts';
import { entryAt, kindOf, readPlainFile } from './plain-file.ts';
import { parseReleaseStatement } from './statement.ts';
import { partSuffix } from './write-file-whole.ts';

/**
 * A sign-off is two envelopes of one number and name: `signoffs/01-mira.release.dsse.json` says what was decided,
 * `signoffs/01-mira.test-result.dsse.json` the same run's result for tools that know nothing of lamps.
 */
export const releaseSuffix = '.release.dsse.json';
export const testResultSuffix = '.test-result.dsse.json';

/** What lies in the folder of sign-offs; all names as paths inside the run's folder. */
export interface SignoffEntries {
  /** Plain files, in the order of their numbers; none where nothing was signed. */
  readonly files: readonly string[];
  /** What a signing that was cut off left behind. */
  readonly unfinished: readonly string[];
  /** What is no file, and what it is instead; `signoffs` itself where that is no folder. */
  readonly foreign: ReadonlyMap<string, string>;
}

export async function signoffEntries(folder: string): Promise<SignoffEntries> {
  const path = join(folder, signoffsFolder);
  const files: string[] = [];
  const unfinished: string[] = [];
  const foreign = new Map<string, string>();
  try {
    const kind = await entryAt(path);
    if (kind === 'folder') {
      for (const entry of await readdir(path, { withFileTypes: true })) {
        const name = `${signoffsFolder}/${entry.name}`;
        if (!entry.isFile()) foreign.set(name, kindOf(entry));
        else (name.endsWith(partSuffix) ? unfinished : files).push(name);
      }
    } else if (kind !== null) foreign.set(signoffsFolder, kind);
  } catch (error) {
    throw fileSystemError(error, `reading ${path}`);
  }
  return { files: files.sort(), unfinished, foreign };
}

export async function listSignoffFiles(folder: string): Promise<readonly string[]> {
  return (await signoffEntries(folder)).files;
}

/** Of the files of sign-offs, those that are whole: a test result whose release statement was never written is none. */
export function wholeSignoffs(files: readonly string[]): readonly string[] {
  return files.filter((file) => files.includes(file.replace(testResultSuffix, releaseSuffix)));
}

/** Whether anybody decided on the run, with whatever key; or it cannot be told. A signed run is never changed. */
export async function isSigned(folder: string): Promise<boolean> {
  const { files, foreign } = await signoffEntries(folder);
  return foreign.size > 0 || files.some((file) => file.endsWith(releaseSuffix));
}

/** The newest decision as it stands in the file, unproven: good for a list, not for a release. */
export async function lastDecision(folder: string): Promise<string | null> {
  try {
    const { files, foreign } = await signoffEntries(folder);
    if (foreign.size > 0) return 'unreadable';
    const last = files.filter((file) => file.endsWith(releaseSuffix)).at(-1);
    if (last === undefined) return null;
    const text = (await readPlainFile(join(folder, last))).toString('utf8');
    const payload = Buffer.from(JSON.parse(text).payload, 'base64');
    return parseReleaseStatement(payload)?.predicate.decision ?? 'unreadable';
  } catch {
    return 'unreadable';
  }
}
