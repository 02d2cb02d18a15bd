import type * as z from 'zod';
import { failedClaims } from '../../workflow/stored-runs/failed-claims.ts';
import type { Database } from '../database/database.ts';
import type { failedSchema } from '../protocol.ts';
import { Refusal } from '../refusal.ts';
import { folderOfRun, orRefusal } from './folder-of-run.ts';
import type { Submissions } from './submissions.ts';

interface Parts {
  readonly database: Database;
  readonly archive: string;
  readonly submissions: Submissions;
}

/** Of which lamp, and whether on simulated rigs. */
interface Of {
  readonly lamp: string;
  readonly simulated: boolean;
}

/**
 * What did not pass in a run of the lab: that of a submission, the newest of a build or of all (`latest`) that are of the same lamp and kind
 * of rig, or any by its folder's name or id. Rejects with a Refusal or a Complaint.
 */
export async function failedInLab(
  { database, archive, submissions }: Parts,
  name: string,
  of: Of,
): Promise<z.infer<typeof failedSchema>> {
  return orRefusal(async () => {
    const newest = await newestOf(database, name, of);
    if (newest === null && name === 'latest')
      throw new Refusal('not-found', `this lab has no run of ${of.lamp} on ${kindText(of)} yet`);
    const folder = await folderOfRun(archive, submissions, newest ?? name);
    const asked = { lamp: of.lamp, withFaults: false, run: folder };
    const { record, run, claims, folder: own } = await failedClaims(archive, asked);
    return {
      ...{ run, claims: [...claims], folder: own },
      ...{ build: record.lamp.build, startedAt: record.startedAt, all: record.specs.length },
      applies: record.specs.filter(({ verdict }) => verdict !== 'not applicable').length,
    };
  });
}

function kindText({ simulated }: Of): string {
  return simulated ? 'simulated rigs' : 'rigs of real instruments';
}

/** The newest submission that has a run: of the build of this name, or of any where it is `latest`. */
async function newestOf(
  database: Database,
  build: string,
  { lamp, simulated }: Of,
): Promise<string | null> {
  const [found] = await database.query<{ id: string }>(
    `select id from lab.submission where state = 'ended' and lamp = $1 and simulated = $2 and (build = $3 or $3 = 'latest')
     order by place desc limit 1`,
    [lamp, simulated, build],
  );
  return found?.id ?? null;
}
