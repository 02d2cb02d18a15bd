import { basename } from 'node:path';
import type { Context, Handler } from 'hono';
import { HTTPException } from 'hono/http-exception';
import PQueue from 'p-queue';
import { ArchiveError } from '../../archive/archive-error.ts';
import { listSignoffFiles } from '../../archive/signoff-files.ts';
import { decisions } from '../../archive/statement.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { runHref } from '../../report/pages/archive/run-list.ts';
import { whereText } from '../../report/pages/archive/run-sheet.ts';
import {
  type SignEntries,
  type SignSheet,
  signForm,
} from '../../report/pages/archive/sign-form.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { openKey, readKeyFile } from '../../workflow/signing/read-keys.ts';
import { signOff } from '../../workflow/signing/sign-off.ts';
import { wallClock } from '../../workflow/wall-clock.ts';
import { archivedRun, checkSeal, runState } from './archived-run.ts';
import { type Desk, trustOf } from './desk.ts';
import { deskSigner, whyNothingNew, whyNotTheirs } from './desk-signer.ts';
import type { Served } from './guard.ts';
import { PassphraseLock } from './passphrase-lock.ts';
import { sealedRecord } from './record-cache.ts';
import { sendSheet } from './send.ts';

const nothingEntered: SignEntries = {
  name: '',
  meaning: '',
  decision: '',
  waived: [],
  reasons: {},
};

/** The form of a decision. */
export function showSign(desk: Desk): Handler<Served> {
  return async (c) => {
    const { folder, record } = await sealedRun(desk, c);
    return sendForm(desk, c, { folder, record, entries: nothingEntered, refusal: null });
  };
}

/** Signs what the form says, by the rules of `evenfall sign`, one at a time. */
export function takeSign(desk: Desk): Handler<Served> {
  const oneByOne = new PQueue({ concurrency: 1 });
  const lock = new PassphraseLock();
  return async (c) => {
    const { folder, record } = await sealedRun(desk, c);
    const form = await formOf(c);
    const entries = entriesOf(form, record);
    try {
      await oneByOne.add(() => sign({ desk, lock }, folder, record, entries, form));
    } catch (error) {
      const known = error instanceof Complaint || error instanceof ArchiveError;
      if (!known) throw error;
      return sendForm(desk, c, { folder, record, entries, refusal: refusalText(error) });
    }
    return c.redirect(runHref(basename(folder)), 303);
  };
}

type Form = Awaited<ReturnType<Context['req']['parseBody']>> | Record<string, unknown>;

async function formOf(c: Context): Promise<Form> {
  try {
    return await c.req.parseBody({ all: true });
  } catch {
    const message =
      'The form cannot be read: it is not what a browser sends. Send it again from the page.';
    throw new HTTPException(400, { message });
  }
}

async function sign(
  { desk, lock }: { readonly desk: Desk; readonly lock: PassphraseLock },
  folder: string,
  record: RunRecord,
  entries: SignEntries,
  form: Form,
): Promise<void> {
  const { keyFile, policyFile, io } = desk;
  if (barred(desk) !== null || keyFile === null) throw refused(barred(desk) ?? '');
  // Pressing twice must not sign twice, and nobody signs over the head of another.
  if (`${(await listSignoffFiles(folder)).length}` !== lineOf(form['seen'])) {
    throw refused(
      'somebody else has signed this run meanwhile; look at the run, then decide again',
    );
  }
  const decision = decisions.find((known) => known === entries.decision);
  if (!decision) throw refused(`expected a decision (${decisions.join(', ')}), found none`);
  const orphan = Object.keys(entries.reasons).find(
    (claim) => entries.reasons[claim] && !entries.waived.includes(claim),
  );
  if (orphan !== undefined)
    throw refused(`there is a reason to waive ${orphan}, but it is not ticked to be waived`);
  const waivers = entries.waived.map((claim) => ({ claim, reason: entries.reasons[claim] ?? '' }));
  const { name, meaning } = entries;
  const passphrase = typeof form['passphrase'] === 'string' ? form['passphrase'] : '';
  await mustOpen(keyFile, passphrase, { lock, io });
  const request = {
    keyFile,
    passphrase,
    name,
    meaning,
    decision,
    waivers,
    policy: policyFile ?? undefined,
  };
  const { file, keyNote } = await signOff(folder, record, request);
  if (keyNote) io.stderr(`evenfall: note: ${keyNote}\n`);
  io.stderr(`Signed: ${decision} of run ${record.id}, ${file}\n`);
}

/** Throws a Complaint where the passphrase does not open the key, or nobody may try now. */
async function mustOpen(
  keyFile: string,
  passphrase: string,
  { lock, io }: { readonly lock: PassphraseLock; readonly io: Desk['io'] },
): Promise<void> {
  const closed = lock.closed();
  if (closed) throw refused(closed);
  const stored = await readKeyFile(keyFile);
  try {
    openKey(stored, passphrase);
  } catch (error) {
    await lock.wrong();
    io.stderr(
      `A passphrase was refused${lock.closed() ? '; signing here is locked for now' : ''}.\n`,
    );
    throw error;
  }
  lock.right();
}

function refused(sentence: string): Complaint {
  return new Complaint('refused', `not signed: ${sentence}`);
}

/** On the terminal options mend it; on the page, the form. */
function refusalText(error: Complaint | ArchiveError): string {
  const waive = error instanceof Complaint && error.remedy === 'waivers';
  return waive
    ? `${error.message}. Tick each one to waive it, and give a reason, or decide hold or reject`
    : error.message;
}

function barred({ keyFile, loopback, isLab }: Desk): string | null {
  if (isLab) return 'A lab has no keys. Sign on your own computer, with evenfall lab sign RUN.';
  if (!loopback) {
    return 'These pages travel unencrypted, so you cannot enter a passphrase here. Sign with evenfall sign, or start evenfall view without --host.';
  }
  if (keyFile !== null) return null;
  return 'This server has no signing key. Start it with evenfall view --key FILE, or sign with evenfall sign.';
}

async function sealedRun(desk: Desk, c: Context): Promise<{ folder: string; record: RunRecord }> {
  const folder = await archivedRun(desk.root, c.req.param('run') ?? '');
  if ((await runState(folder)) !== 'sealed') {
    throw new HTTPException(409, {
      message: 'Only a finished run can be signed; this one is unfinished.',
    });
  }
  return { folder, record: await sealedRecord(folder) };
}

async function sendForm(
  desk: Desk,
  c: Context,
  {
    folder,
    record,
    entries,
    refusal,
  }: Pick<SignSheet, 'folder' | 'record' | 'entries' | 'refusal'>,
): Promise<Response> {
  const { policy } = await trustOf(desk);
  const { unmet, seats } = await checkSeal(desk, folder);
  const signer = await deskSigner(desk, policy);
  const theirs = signer && whyNotTheirs(signer, record, wallClock.now());
  const body = signForm({
    folder: basename(folder),
    record,
    key: desk.keyFile && basename(desk.keyFile),
    policy: policy && { name: policy.name, unmet, seats },
    notice: signer && whyNothingNew(signer, seats),
    entries,
    refusal,
    barred: barred(desk) ?? (theirs === null ? null : `Not yours to decide: ${theirs}.`),
    seen: (await listSignoffFiles(folder)).length,
  });
  const title = `Sign: ${record.lamp.name}, build ${record.lamp.build}`;
  const sheet = { title, where: whereText(record), place: 'Sign-off' as const, body };
  return sendSheet(c, sheet, refusal === null ? 200 : 422);
}

function entriesOf(form: Form, { specs }: RunRecord): SignEntries {
  const waive = form['waive'];
  const waived = (Array.isArray(waive) ? waive : [waive]).filter(
    (claim) => typeof claim === 'string',
  );
  const reasons = specs.map(({ spec }) => [spec, lineOf(form[`reason ${spec}`])] as const);
  return {
    name: lineOf(form['name']),
    meaning: lineOf(form['meaning']),
    decision: lineOf(form['decision']),
    waived,
    reasons: Object.fromEntries(reasons),
  };
}

function lineOf(value: unknown): string {
  return typeof value === 'string' ? value.trim() : '';
}
