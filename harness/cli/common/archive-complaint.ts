import { ArchiveError, type ArchiveErrorKind } from '../../archive/archive-error.ts';
import { Complaint, type ComplaintKind } from '../../workflow/complaint.ts';

const kinds: Readonly<Record<ArchiveErrorKind, ComplaintKind>> = {
  'not-writable': 'cannot-create',
  full: 'cannot-create',
  exists: 'cannot-create',
  'bad-name': 'usage',
  'not-found': 'no-input',
  ambiguous: 'usage',
  damaged: 'bad-file',
  newer: 'bad-file',
  busy: 'locked',
  unfinished: 'bad-file',
  sealed: 'usage',
  signed: 'refused',
  'bad-record': 'internal',
};

/** Runs `work`; what the archive could not do becomes a sentence with an exit code. */
export async function withArchive<Result>(work: () => Promise<Result>): Promise<Result> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof ArchiveError)) throw error;
    throw new Complaint(kinds[error.kind], error.message, { cause: error });
  }
}
