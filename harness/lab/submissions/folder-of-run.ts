import { dirname, join, resolve } from 'node:path';
import { ArchiveError, type ArchiveErrorKind } from '../../archive/archive-error.ts';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { isSafeFileName } from '../../archive/safe-file-name.ts';
import { SignRefusal } from '../../archive/signable-run.ts';
import { Refusal, type RefusalKind } from '../refusal.ts';
import type { Submissions } from './submissions.ts';

/** Folder of the run that somebody means: a submission, or a run by its folder's name, its id or `latest`. Nothing outside of the archive is a run, whatever its name. */
export async function folderOfRun(
  archive: string,
  submissions: Submissions,
  name: string,
): Promise<string> {
  const submission = await submissions.named(name);
  if (submission?.folder === null) throw new Refusal('conflict', 'this submission has no run yet');
  if (submission) return join(archive, submission.folder);
  const isPlain = isSafeFileName(name) && !name.includes('/');
  const found = isPlain ? await findRunFolder(archive, name) : null;
  if (found !== null && resolve(dirname(found)) === resolve(archive)) return found;
  throw new Refusal('not-found', `there is no run ${JSON.stringify(name.slice(0, 60))} here`);
}

const kinds: Partial<Record<ArchiveErrorKind, RefusalKind>> = {
  'not-found': 'not-found',
  'not-writable': 'away',
  full: 'away',
  busy: 'away',
};

/** What the archive does not do becomes a Refusal. */
export async function orRefusal<Result>(work: () => Promise<Result>): Promise<Result> {
  try {
    return await work();
  } catch (error) {
    const isMissing = (error as NodeJS.ErrnoException).code === 'ENOENT';
    if (isMissing) throw new Refusal('not-found', 'there is no such file', { cause: error });
    if (error instanceof SignRefusal)
      throw new Refusal('conflict', `not signed: ${error.message}`, { cause: error });
    if (error instanceof ArchiveError)
      throw new Refusal(kinds[error.kind] ?? 'conflict', error.message, { cause: error });
    throw error;
  }
}
