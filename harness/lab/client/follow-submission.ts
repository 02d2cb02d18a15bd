import { setTimeout as wait } from 'node:timers/promises';
import * as z from 'zod';
import type { LabClient } from './lab-client.ts';

const shardSchema = z.object({
  number: z.number(),
  state: z.enum(['queued', 'running', 'ended', 'failed']),
  rig: z.string().nullable(),
  attempts: z.number(),
  why: z.string().nullable(),
  condition: z.string().nullable(),
});
const progressSchema = z.object({
  submission: z.object({
    state: z.enum(['queued', 'running', 'merging', 'ended', 'failed', 'cancelled']),
    why: z.string().nullable(),
    run: z.string().nullable(),
    folder: z.string().nullable(),
  }),
  shards: z.array(shardSchema),
});
export type Progress = z.infer<typeof progressSchema>;

/** ms between two looks. */
const poll = 1000;

/** Tells how a submission goes on each time that something changed, until it has ended. Rejects when the client's signal aborts. */
export async function followSubmission(
  client: LabClient,
  id: string,
  { signal, tell }: { readonly signal: AbortSignal; readonly tell: (progress: Progress) => void },
): Promise<Progress> {
  let before = '';
  for (;;) {
    const path = `/api/submissions/${id}`;
    const progress = await client.ask({ method: 'GET', path, answer: progressSchema });
    const now = JSON.stringify(progress);
    if (now !== before) tell(progress);
    before = now;
    if (['ended', 'failed', 'cancelled'].includes(progress.submission.state)) return progress;
    await wait(poll, undefined, { signal });
  }
}
