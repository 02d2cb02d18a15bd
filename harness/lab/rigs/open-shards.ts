import { unmetNeed } from '../../plan/unmet-need.ts';
import { unprovableClaims } from '../../workflow/rig/unprovable-claims.ts';
import type { Database } from '../database/database.ts';
import { readRigText, readSubmission } from '../submissions/read-submission.ts';
import type { SubmissionRow } from '../submissions/rows.ts';
import type { Submissions } from '../submissions/submissions.ts';
import { type RigRow, type Rigs, takesLamp } from './rigs.ts';

interface Parts {
  readonly database: Database;
  readonly rigs: Rigs;
  readonly submissions: Submissions;
}

interface OpenQueue extends SubmissionRow {
  readonly queue: string;
  /** Whether the rig, as its file is now, was looked at for this queue, and what stands against it. */
  readonly looked: boolean;
  readonly against: string | null;
}

/** The shards that wait, as one rig sees them: those that it can prove, oldest submission first. */
export class OpenShards {
  readonly #parts: Parts;

  constructor(parts: Parts) {
    this.#parts = parts;
  }

  async queuesFor(name: string): Promise<readonly { readonly queue: string }[]> {
    const { database, rigs } = this.#parts;
    await rigs.heard(name);
    const rig = await rigs.find(name);
    const open = await database.query<OpenQueue>(
      `select submission.*, waiting.queue, fit.digest is not null as looked, fit.why as against
       from lab.submission
       join (select distinct shard.submission, shard.queue from lab.shard
             left join lab.decline on decline.submission = shard.submission and decline.number = shard.number
               and decline.rig = $1 and decline.until > now()
             where shard.state = 'queued' and decline.rig is null) waiting on waiting.submission = submission.id
       left join lab.fit on fit.submission = submission.id and fit.queue = waiting.queue
         and fit.rig = $1 and fit.digest = $2
       where submission.state in ('queued', 'running') and submission.simulated = $3
       order by submission.place, waiting.queue`,
      [name, rig.digest, rig.simulated],
    );
    const able: OpenQueue[] = [];
    for (const one of open) {
      if (!takesLamp(rig, one.lamp)) continue;
      const against = one.looked ? one.against : await this.#look(one, rig);
      if (against === null) able.push(one);
    }
    return able;
  }

  /** Why a rig cannot prove the shards of a queue; null where it can. Looked at once for each version of its rig file. */
  async #look(open: OpenQueue, rig: RigRow): Promise<string | null> {
    const { database, submissions } = this.#parts;
    const folder = await submissions.inputs(open.id, open.request);
    const { lamp, plans } = readSubmission(open.request, folder);
    const shards = await submissions.shardsOf(open.id);
    const claims = new Set(
      shards.filter(({ queue }) => queue === open.queue).flatMap((shard) => shard.claims),
    );
    const asked = plans.filter(
      ({ spec, needs }) => claims.has(spec) && unmetNeed(needs, lamp) === null,
    );
    const bench = readRigText(rig.text, rig.file, lamp);
    const today = new Date().toISOString().slice(0, 10);
    const why = unprovableClaims({ plans: asked, rig: bench, lamp }, today);
    const against = [...why].map(([spec, reason]) => `${spec}: ${reason}`).join('; ') || null;
    await database.query(
      `insert into lab.fit (submission, queue, rig, digest, why) values ($1, $2, $3, $4, $5) on conflict do nothing`,
      [open.id, open.queue, rig.name, rig.digest, against],
    );
    return against;
  }
}
