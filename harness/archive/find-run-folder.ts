import { readdir, stat } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import { recordFile } from './record-file.ts';

const folderName = /^\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ-/;

/** Names of the run folders of an archive, oldest first; none where the archive does not exist yet. */
export async function listRunFolders(root: string): Promise<string[]> {
  try {
    return (await readdir(root)).filter((name) => folderName.test(name)).sort();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw fileSystemError(error, `reading the archive ${root}`);
  }
}

/**
 * The folder that a person means by `text`: a path to a run folder, a folder's name in the archive, a short or long id
 * (or its beginning, from four characters), or `latest`. `listed` are the archive's folders where a caller has listed
 * them already. Rejects with `not-found` or `ambiguous`.
 */
export async function findRunFolder(
  root: string,
  text: string,
  listed?: readonly string[],
): Promise<string> {
  if (await isRun(text)) return resolve(text);
  const names = listed ?? (await listRunFolders(root));
  const latest = names.at(-1);
  if (latest === undefined) {
    throw new ArchiveError(
      'not-found',
      `there are no stored runs in ${root}; name it with --reports`,
    );
  }
  if (text === 'latest') return join(root, latest);
  const fitting = names.filter((name) => fits(name, text));
  const [only, ...others] = fitting;
  if (only !== undefined && others.length === 0) return join(root, only);
  if (only === undefined) {
    throw new ArchiveError(
      'not-found',
      `expected a run in ${root}, found none called ${JSON.stringify(text)}; evenfall runs lists them, the latest is ${latest}`,
    );
  }
  const some = fitting.slice(-3).join(', ');
  const sentence = `${fitting.length} runs fit ${JSON.stringify(text)}, among them ${some}; write more of it`;
  throw new ArchiveError('ambiguous', sentence);
}

const fewestCharacters = 4;

/** The short id ends the name; a long id begins with the short one. */
function fits(name: string, text: string): boolean {
  if (name === text) return true;
  if (text.length < fewestCharacters) return false;
  const short = name.slice(name.lastIndexOf('-') + 1);
  return short.startsWith(text) || text.startsWith(short) || name.startsWith(text);
}

async function isRun(path: string): Promise<boolean> {
  const found = await stat(join(path, recordFile)).catch(() => null);
  return found?.isFile() ?? false;
}
