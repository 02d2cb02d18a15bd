import { ArchiveError, type ArchiveErrorKind } from '../archive/archive-error.ts';
import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';

const codes: Readonly<Record<ArchiveErrorKind, number>> = {
  'not-writable': exitCodes.cannotCreate,
  full: exitCodes.cannotCreate,
  exists: exitCodes.cannotCreate,
  'bad-name': exitCodes.usage,
  'not-found': exitCodes.noInput,
  ambiguous: exitCodes.usage,
  damaged: exitCodes.badFile,
  newer: exitCodes.badFile,
  busy: exitCodes.locked,
  unfinished: exitCodes.badFile,
  sealed: exitCodes.usage,
  signed: exitCodes.refused,
  'bad-record': exitCodes.internal,
};

/** Runs `work`; what the archive could not do becomes a sentence with an exit code. */
export async function withArchive<Result>(work: () => Promise<Result>): Promise<Result> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof ArchiveError)) throw error;
    throw new Complaint(codes[error.kind], error.message, { cause: error });
  }
}
