import { ArchiveError } from '../../archive/archive-error.ts';
import { checkSeal } from '../../archive/check-seal.ts';
import { readRun, type StoredRun } from '../../archive/read-run.ts';
import { sealWarning } from '../../report/words/seal-words.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { exitCodes } from './exit-codes.ts';
import type { Io } from './io.ts';

export interface CheckedRun extends StoredRun {
  /** What has to be said before any figure of it; null where the run is as it was sealed. */
  readonly warning: string | null;
}

/**
 * A stored run with every byte of it held against its seal. What is not as it was is said on stderr; an altered run makes the
 * command end with 77, whatever it shows.
 */
export async function readCheckedRun(
  folder: string,
  io: Io,
  options: { readonly curves?: boolean } = {},
): Promise<CheckedRun> {
  const seal = await checkSeal(folder);
  const warning = sealWarning(seal);
  if (warning !== null) io.stderr(`evenfall: ${folder}: ${warning}\n`);
  if (seal.state === 'altered') io.exitCode = exitCodes.refused;
  try {
    return { ...(await readRun(folder, options)), warning };
  } catch (error) {
    // A record that cannot be read any more is no mistake in a file that somebody wrote.
    if (!(error instanceof ArchiveError) || seal.state !== 'altered') throw error;
    throw new Complaint('refused', error.message, { cause: error });
  }
}
