import { join } from 'node:path';
import type { Handler } from 'hono';
import { type ConfirmedRun, confirmRuns } from '../../archive/confirm-runs.ts';
import { countRuns, findRuns } from '../../archive/find-runs.ts';
import type { Policy } from '../../archive/policy.ts';
import { refreshDecisions } from '../../archive/refresh-decisions.ts';
import { refusedRun } from '../../archive/run-decision.ts';
import { unreleasable } from '../../archive/statement-problems.ts';
import type { RunRecord } from '../../record/run-record.ts';
import type { CheckedSeal } from '../../report/pages/archive/seal.ts';
import {
  type DecidedEntry,
  type QueuedRun,
  type RefusedEntry,
  signQueue,
} from '../../report/pages/archive/sign-queue.ts';
import { counted } from '../../report/words/prose.ts';
import { sealWarning } from '../../report/words/seal-words.ts';
import { standsOpen } from '../../verdict/verdict.ts';
import { withIndex } from '../../workflow/stored-runs/with-index.ts';
import { wallClock } from '../../workflow/wall-clock.ts';
import { checkSeal, digests, glanceAtSeal } from './archived-run.ts';
import { type Desk, trustOf } from './desk.ts';
import { type DeskSigner, deskSigner, whyNothingNew, whyNotTheirs } from './desk-signer.ts';
import type { Served } from './guard.ts';
import { slimRecord } from './record-cache.ts';
import { sendSheet } from './send.ts';

/** Of the newest complete runs, and of those that somebody signed. Each is read, and its signatures are checked. */
const mostLookedAt = 40;
const mostRefused = 10;
/** Every one of them is checked byte by byte. */
const mostDecided = 10;

/** Runs that wait for a decision, those that cannot be released whatever anybody signs, and the last decisions. */
export function showQueue(desk: Desk): Handler<Served> {
  return async (c) => {
    const { policy } = await trustOf(desk);
    const { rows, older } = await newestComplete(desk);
    const signer = await deskSigner(desk, policy);
    const waiting: QueuedRun[] = [];
    const refused: RefusedEntry[] = [];
    const decided: DecidedEntry[] = [];
    for (const row of rows) {
      const { kind, entry } = await entryOf(desk, row, { policy, signer });
      if (kind === 'refused') refused.push(entry);
      else if (kind === 'decided') decided.push(entry);
      else waiting.push(entry);
    }
    const last = await Promise.all(
      decided.slice(0, mostDecided).map((one) => everyByte(desk, one)),
    );
    const words = policy && policyText(policy);
    const body = signQueue({
      ...{ waiting, decided: last, older, policy: words },
      ...{ refused: refused.slice(0, mostRefused), moreRefused: refused.length - mostRefused },
    });
    return sendSheet(c, { title: 'Sign-off', place: 'Sign-off', body });
  };
}

async function newestComplete({ root }: Desk) {
  return withIndex(root, {}, async (index) => {
    await refreshDecisions(index, root);
    const newest = findRuns(index, { signOff: 'complete', limit: mostLookedAt });
    // The first of two signatures must not be forgotten under a month of nightly runs.
    const signed = findRuns(index, { signOff: 'decided', limit: mostLookedAt });
    const known = new Set(newest.map(({ folder }) => folder));
    const found = [...newest, ...signed.filter(({ folder }) => !known.has(folder))];
    const rows = await confirmRuns(index, root, found, digests.sha256File);
    return { rows, older: countRuns(index, { signOff: 'complete' }) - found.length };
  });
}

interface Rules {
  readonly policy: Policy | null;
  readonly signer: DeskSigner | null;
}

type Entry =
  | { readonly kind: 'waiting'; readonly entry: QueuedRun }
  | { readonly kind: 'refused'; readonly entry: RefusedEntry }
  | { readonly kind: 'decided'; readonly entry: DecidedEntry };

async function entryOf(desk: Desk, row: ConfirmedRun, rules: Rules): Promise<Entry> {
  const warning = sealWarning(row.seal);
  const folder = join(desk.root, row.folder);
  if (warning !== null)
    return { kind: 'refused', entry: { ...row, altered: true, reasons: [warning] } };
  const seal = await glanceAtSeal(desk, folder);
  const isSigned = row.decision !== null;
  if (isSigned && !isOpen(seal))
    return { kind: 'decided', entry: { ...row, decision: row.decision ?? '', seal } };
  const record = await slimRecord(folder);
  const reasons = reasonsAgainst(seal, record, rules);
  if (reasons.length > 0) return { kind: 'refused', entry: { ...row, altered: false, reasons } };
  return { kind: 'waiting', entry: queued(row, record, seal, rules) };
}

/** Sound as far as it goes, and still to be decided: by a second person, or after a hold. */
function isOpen({ decision }: CheckedSeal): boolean {
  return decision === 'undecided' || decision === 'on hold';
}

/** Why nobody can release the run, whoever signs. */
function reasonsAgainst(seal: CheckedSeal, record: RunRecord, { policy }: Rules): string[] {
  const broken = seal.problems.filter(({ file }) => !file.startsWith('signoffs'));
  if (broken.length > 0) return broken.map(({ file, text }) => `${file} ${text}`);
  return policy ? refusedRun(policy, record, wallClock.now()) : unreleasable(record);
}

function queued(
  row: ConfirmedRun,
  record: RunRecord,
  { seats, heldBack, signoffs }: CheckedSeal,
  { signer }: Rules,
): QueuedRun {
  const open = record.specs.filter(standsOpen);
  const barred = signer && whyNotTheirs(signer, record, wallClock.now());
  return {
    ...row,
    open: open.map(({ spec, verdict }) => ({ spec, verdict })),
    ...{ seats, heldBack, barred },
    addsNothing: signer && whyNothingNew(signer, seats),
    signed: signoffs.map(
      ({
        predicate: {
          signer: { name },
          signedAt,
          decision,
        },
      }) => ({
        ...{ name, signedAt, decision },
      }),
    ),
  };
}

async function everyByte(desk: Desk, entry: DecidedEntry): Promise<DecidedEntry> {
  return { ...entry, seal: await checkSeal(desk, join(desk.root, entry.folder)) };
}

function policyText({ name, version, signatures, noSelfApproval, people }: Policy): string {
  const asked = Object.entries(signatures).map(([role, count]) => {
    const names = people.filter(({ roles }) => roles.includes(role)).map((person) => person.name);
    return `${count} ${role} (${names.join(', ')})`;
  });
  const self = noSelfApproval ? '; the operator of a run may not release it' : '';
  const total = Object.values(signatures).reduce((sum, count) => sum + count, 0);
  return `The policy ${name}, version ${version}, asks for ${counted(total, 'signature')}: ${asked.join(' and ')}${self}.`;
}
