import { readdir, realpath, stat } from 'node:fs/promises';
import { basename, join, resolve } from 'node:path';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import { isRunFolderName } from './folder-name.ts';
import { readSlimRecord, recordFile } from './record-file.ts';

/** Names of the run folders of an archive, oldest first; none where the archive does not exist yet. */
export async function listRunFolders(root: string): Promise<string[]> {
  try {
    return (await readdir(root)).filter((name) => isRunFolderName(name)).sort();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw fileSystemError(error, `reading the archive ${root}`);
  }
}

/**
 * The folder that a person means by `text`. What has a slash in it, `.` and `..` are paths. Anything else is, in this order,
 * `latest`, a run folder's name in the archive, or a short or long id (or its beginning, from four characters); and last the
 * name of a run folder in the working directory. Where that folder and the archive both have a run of this name, nobody can
 * know which is meant. `listed` are the archive's folders where a caller has listed them already. Rejects with `not-found` or
 * `ambiguous`.
 */
export async function findRunFolder(
  root: string,
  text: string,
  listed?: readonly string[],
): Promise<string> {
  if (isPath(text)) {
    if (await isRun(text)) return resolve(text);
    const sentence = `expected a folder of a stored run at ${text}, found no ${recordFile}`;
    throw new ArchiveError('not-found', sentence);
  }
  const names = listed ?? (await listRunFolders(root));
  const here = (await isRun(text)) ? resolve(text) : null;
  const stored = await inArchive(root, text, names);
  if (here !== null && stored !== null && !(await isSame(here, stored))) {
    const sentence = `${JSON.stringify(text)} is a run in ${root} (${basename(stored)}) and a folder of a run here; write ./${text} for the folder, or the path of the other`;
    throw new ArchiveError('ambiguous', sentence);
  }
  const found = stored ?? here;
  if (found !== null) return found;
  const latest = names.at(-1);
  throw new ArchiveError(
    'not-found',
    latest === undefined
      ? `there are no stored runs in ${root}; name it with --reports`
      : `expected a run in ${root}, found none called ${JSON.stringify(text)}; evenfall runs lists them, the latest is ${latest}`,
  );
}

/** Both separators: a path is one on every system. */
function isPath(text: string): boolean {
  return /[\\/]/.test(text) || text === '.' || text === '..';
}

/** The one run of the archive that fits, null where none does. Rejects with `ambiguous`. */
async function inArchive(
  root: string,
  text: string,
  names: readonly string[],
): Promise<string | null> {
  if (text === 'latest') return names.length === 0 ? null : join(root, names.at(-1) ?? '');
  const named = names.includes(text);
  const fitting = named ? [text] : names.filter((name) => fits(name, text));
  if (fitting.length > 1) {
    const some = fitting.slice(-3).join(', ');
    const sentence = `${fitting.length} runs fit ${JSON.stringify(text)}, among them ${some}; write more of it`;
    throw new ArchiveError('ambiguous', sentence);
  }
  const [only] = fitting;
  if (only === undefined) return null;
  const folder = join(root, only);
  return named || (await hasId(folder, only, text)) ? folder : null;
}

const fewestCharacters = 4;

/** The short id ends the name; a long id begins with the short one. */
function fits(name: string, text: string): boolean {
  if (text.length < fewestCharacters) return false;
  const short = shortIdIn(name);
  return short.startsWith(text) || text.startsWith(short) || name.startsWith(text);
}

/** Of a long id, a folder's name says only the beginning. */
async function hasId(folder: string, name: string, text: string): Promise<boolean> {
  const short = shortIdIn(name);
  if (text.length <= short.length || !text.startsWith(short)) return true;
  return (await readSlimRecord(folder)).id.startsWith(text);
}

function shortIdIn(name: string): string {
  return name.slice(name.lastIndexOf('-') + 1);
}

async function isRun(path: string): Promise<boolean> {
  const found = await stat(join(path, recordFile)).catch(() => null);
  return found !== null;
}

async function isSame(one: string, other: string): Promise<boolean> {
  const [a, b] = await Promise.all([realpath(one), realpath(other)]);
  return a === b;
}
