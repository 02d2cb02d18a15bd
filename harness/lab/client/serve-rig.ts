import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import * as z from 'zod';
import { Complaint } from '../../workflow/complaint.ts';
import { leaseSchema, type Registration } from '../protocol.ts';
import { Refusal } from '../refusal.ts';
import type { Held } from './held-lease.ts';
import { nothing } from './lab-client.ts';
import { type RigSetup, runShard, type ShardEnd, stateOf } from './rig-session.ts';

/** ms between two questions for work. */
const poll = 1000;
/** s that a rig which cannot be used does not ask for the same shard. */
const faultPause = 60;

export type RigNews =
  | { readonly news: 'registered'; readonly name: string }
  | { readonly news: 'taken' | 'resumed'; readonly held: Held }
  | { readonly news: 'ended'; readonly held: Held; readonly end: ShardEnd };

/**
 * Registers a rig at a lab, then takes one shard after another and sends what came of it, until the signal aborts. Rejects with a Refusal
 * where the lab does not want the rig, or with a Complaint where none answers.
 */
export async function serveRig(
  setup: RigSetup,
  registration: Registration,
  { signal, tell }: { readonly signal: AbortSignal; readonly tell: (news: RigNews) => void },
): Promise<void> {
  const { client, held } = setup;
  const me = await client.me();
  const path = `/api/rigs/${me.name}`;
  await client.ask({ method: 'PUT', path, body: registration, answer: nothing });
  tell({ news: 'registered', name: me.name });
  const left = await held.read();
  if (left && (await stateOf(client, left.lease.lease)) === 'yours') {
    tell({ news: 'resumed', held: left });
    await carryOut(setup, left, { signal, tell });
  }
  await held.clear();
  const answer = z.object({ lease: leaseSchema.nullable() });
  while (!signal.aborted) {
    const { lease } = await client.ask({ method: 'POST', path: `${path}/take`, body: {}, answer });
    if (lease === null) {
      await wait(poll, undefined, { signal }).catch(() => {});
      continue;
    }
    await held.keep(lease, null);
    const taken = { lease, run: null };
    tell({ news: 'taken', held: taken });
    await carryOut(setup, taken, { signal, tell });
    await held.clear();
  }
}

async function carryOut(
  setup: RigSetup,
  held: Held,
  { signal, tell }: { readonly signal: AbortSignal; readonly tell: (news: RigNews) => void },
): Promise<void> {
  const end = await runShard(setup, held, signal).catch((error) => endOf(error, signal));
  if (end.end === 'given up') await handBack(setup, held, end);
  tell({ news: 'ended', held, end });
  const { submission, lease } = held.lease;
  await rm(join(setup.folder, 'earlier', lease), { recursive: true, force: true });
  await rm(join(setup.folder, 'inputs', submission), { recursive: true, force: true });
}

/** What the bench or the inputs are not up to ends the shard here, and not the program. */
function endOf(error: unknown, signal: AbortSignal): ShardEnd {
  if (signal.aborted) return { end: 'given up', why: 'the rig was stopped', pause: 0 };
  if (error instanceof Complaint || error instanceof Refusal)
    return { end: 'given up', why: error.message, pause: faultPause };
  throw error;
}

/** Also after Ctrl-C: another rig need not wait until this one counts as silent. */
async function handBack(
  { client }: RigSetup,
  { lease }: Held,
  { why, pause }: { readonly why: string; readonly pause: number },
): Promise<void> {
  const path = `/api/leases/${lease.lease}/hand-back`;
  const body = { why: why.slice(0, 2000), pause };
  await client
    .beyond(AbortSignal.timeout(5000))
    .ask({ method: 'POST', path, body, answer: nothing }, 3000)
    .catch(() => {});
}
