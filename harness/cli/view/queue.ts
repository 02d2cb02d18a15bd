import { join } from 'node:path';
import type { Handler } from 'hono';
import { countRuns, findRuns, type RunRow } from '../../archive/find-runs.ts';
import type { RunIndex } from '../../archive/open-index.ts';
import type { Policy } from '../../archive/policy.ts';
import { refreshDecisions } from '../../archive/refresh-decisions.ts';
import { runLines } from '../../archive/run-lines.ts';
import {
  type DecidedEntry,
  type QueuedRun,
  signQueue,
} from '../../report/pages/archive/sign-queue.ts';
import { withIndex } from '../../workflow/stored-runs/with-index.ts';
import { checkSeal } from './archived-run.ts';
import { type Desk, trustOf } from './desk.ts';
import type { Served } from './guard.ts';
import { sendSheet } from './send.ts';

const mostWaiting = 30;
/** Every one of them is checked byte by byte. */
const mostDecided = 10;

/** Runs that wait for a decision, and the last decisions. */
export function showQueue(desk: Desk): Handler<Served> {
  return async (c) => {
    const { policy } = await trustOf(desk);
    const { waiting, more, last } = await withIndex(desk.root, {}, async (index) => {
      await refreshDecisions(index, desk.root);
      const open = findRuns(index, { signOff: 'waiting', limit: mostWaiting });
      return {
        waiting: open.map((row) => queued(index, row)),
        more: countRuns(index, { signOff: 'waiting' }) - open.length,
        last: findRuns(index, { signOff: 'decided', limit: mostDecided }),
      };
    });
    const decided: DecidedEntry[] = [];
    for (const row of last) {
      const seal = await checkSeal(desk, join(desk.root, row.folder));
      decided.push({ ...row, decision: row.decision ?? '', seal });
    }
    const body = signQueue({ waiting, more, decided, policy: policy && policyText(policy) });
    return sendSheet(c, { title: 'Sign-off', place: 'Sign-off', body });
  };
}

function queued(index: RunIndex, row: RunRow): QueuedRun {
  const claims = runLines(index, row.id)?.claims ?? [];
  return { ...row, open: claims.filter(({ verdict }) => verdict !== 'pass') };
}

function policyText({ name, signatures, noSelfApproval, signers }: Policy): string {
  const people = signatures === 1 ? 'one person' : `${signatures} people`;
  const self = noSelfApproval ? '; the operator of a run may not release it' : '';
  const names = [...new Set(signers.map((signer) => signer.name))].join(', ');
  return `The policy ${name} asks for a release by ${people} out of ${names}${self}.`;
}
