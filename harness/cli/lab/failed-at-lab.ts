import { resolve } from 'node:path';
import { ArchiveError } from '../../archive/archive-error.ts';
import type { LabClient } from '../../lab/client/lab-client.ts';
import { failedSchema } from '../../lab/protocol.ts';
import { Refusal } from '../../lab/refusal.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { type FailedInRun, storedFailed } from '../running/failed-option.ts';

/** ms for which a lab that does not answer is asked again. */
const patience = 20_000;

interface Of {
  readonly lamp: string;
  readonly simulated: boolean;
  readonly cwd: string;
}

/**
 * What did not pass in a run of the lab, or where the lab has none of this name, in one of the folder `reports` here; a path is a run here.
 * Rejects with a Complaint where neither has it.
 */
export async function failedAtLab(
  client: LabClient,
  run: string,
  { lamp, simulated, cwd }: Of,
): Promise<FailedInRun> {
  const here = () => storedFailed(resolve(cwd, 'reports'), { lamp, withFaults: false, run });
  if (/[\\/]/.test(run)) return here();
  try {
    const query = new URLSearchParams({ lamp, simulated: `${simulated}` });
    const path = `/api/runs/${encodeURIComponent(run)}/failed?${query}`;
    return await client.ask({ method: 'GET', path, answer: failedSchema }, patience);
  } catch (error) {
    if (!(error instanceof Refusal) || error.kind !== 'not-found' || run === 'latest') throw error;
  }
  return here().catch((error) => {
    if (!(error instanceof ArchiveError) || error.kind !== 'not-found') throw error;
    const text = `expected a submission, a build or a run of the lab, or a stored run here, found none called ${JSON.stringify(run)}`;
    throw new Complaint(
      'no-input',
      `${text}; /lab of its service lists them, and evenfall runs those here`,
    );
  });
}
