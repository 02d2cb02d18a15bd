import { plainLine } from '../../../files/plain-text.ts';
import { shortId } from '../../../record/ids.ts';
import type { Verdict } from '../../../verdict/verdict.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { bulletList } from '../../html/table.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { capital, counted, dateText } from '../../words/prose.ts';
import { type Seat, seatsText } from '../../words/seats-text.ts';
import { alteredLabel, artificialLabel, runHref } from './run-list.ts';
import { type CheckedSeal, sealLabel } from './seal.ts';

export interface QueuedRun {
  readonly folder: string;
  readonly id: string;
  readonly started: string;
  readonly lamp: string;
  readonly build: string;
  readonly verdict: Verdict;
  readonly simulated: boolean;
  /** Seeded faults: such a run says nothing about the lamp. */
  readonly faults: number;
  /** Claims that did not hold. */
  readonly open: readonly { readonly spec: string; readonly verdict: Verdict }[];
  /** Signatures that the policy asks for, and who gave them; empty without a policy. */
  readonly seats: readonly Seat[];
  readonly signed: readonly {
    readonly name: string;
    readonly signedAt: string;
    readonly decision: string;
  }[];
  /** What signers did that keeps it back: a hold, a signature that does not count. */
  readonly heldBack: readonly string[];
  /** Why whoever signs with this desk's key cannot decide on it; null where they can, or nobody knows. */
  readonly barred: string | null;
  /** Why a release by them would add nothing. */
  readonly addsNothing: string | null;
}

type ListedRun = Pick<
  QueuedRun,
  'folder' | 'id' | 'started' | 'lamp' | 'build' | 'verdict' | 'simulated' | 'faults'
>;

/** A run that nobody can release, and why. */
export interface RefusedEntry extends ListedRun {
  /** Its files are not as they were sealed: it has no verdict. */
  readonly altered: boolean;
  readonly reasons: readonly string[];
}

export interface DecidedEntry extends ListedRun {
  readonly decision: string;
  readonly seal: CheckedSeal;
}

export interface SignQueue {
  /** Sealed and complete, and somebody can decide on it. */
  readonly waiting: readonly QueuedRun[];
  readonly refused: readonly RefusedEntry[];
  /** How many more than are listed. */
  readonly moreRefused: number;
  readonly decided: readonly DecidedEntry[];
  /** How many older runs were not looked at. */
  readonly older: number;
  /** What the policy asks for, in a sentence; null without one. */
  readonly policy: string | null;
}

/** Runs that wait for a decision, those that cannot be released, and the last decisions with what checking them came to. */
export function signQueue(queue: SignQueue): Html {
  const { waiting, refused, moreRefused, decided, older, policy } = queue;
  const rule =
    policy ??
    'No policy is in force: anyone with a key may sign. Start evenfall view with --policy FILE to check decisions against one.';
  const heading =
    waiting.length === 0
      ? 'No run is waiting for a decision'
      : `Waiting for a decision: ${waiting.length}`;
  return html`
    <p class="lead">${plainLine(rule)}</p>
    <section>
      <h2>${heading}</h2>
      <ul class="rows">${waiting.map(waitingRow)}</ul>
    </section>
    ${refused.length > 0 && section('Cannot be released', refused.map(refusedRow))}
    ${moreRefused > 0 && html`<p class="aside">${counted(moreRefused, 'more run')} cannot be released.</p>`}
    ${decided.length > 0 && section('Latest decisions', decided.map(decidedRow))}
    ${older > 0 && html`<p class="aside">${counted(older, 'older run')} not looked at: see the list of runs.</p>`}`;
}

function section(title: string, rows: readonly Html[]): Html {
  return html`
    <section>
      <h2>${title}</h2>
      <ul class="rows">${rows}</ul>
    </section>`;
}

function waitingRow(run: QueuedRun): Html {
  const open = run.open.map(({ spec, verdict }) => `${spec} (${verdict})`);
  const rest = open.length > 6 ? ` and ${open.length - 6} more` : '';
  const words =
    open.length === 0
      ? 'Every claim holds.'
      : plainLine(`Open claims: ${open.slice(0, 6).join(', ')}${rest}.`);
  return row(run, [
    html`<p>${words}</p>`,
    run.seats.length > 0 && html`<p>${plainLine(seatsText(run.seats))}</p>`,
    run.signed.map(
      ({ name, signedAt, decision }) =>
        html`<p class="aside">${plainLine(`${capital(decision)} signed by ${name}, ${dateText(signedAt)}.`)}</p>`,
    ),
    run.heldBack.map((text) => html`<p>${plainLine(`Kept back: ${text}.`)}</p>`),
    wayOn(run),
  ]);
}

/** The link to sign, or why it would be pressed in vain. */
function wayOn({ folder, id, barred, addsNothing }: QueuedRun): Content {
  if (barred !== null)
    return html`<p class="barred">${plainLine(`Not yours to decide: ${barred}.`)}</p>`;
  const href = runHref(folder, 'sign');
  if (addsNothing === null)
    return html`<p><a href="${href}">Sign a decision on run ${shortId(id)}</a></p>`;
  return html`
    <p class="barred">
      ${plainLine(`${addsNothing}.`)} <a href="${href}">Change the decision on run ${shortId(id)}</a>
    </p>`;
}

function refusedRow(run: RefusedEntry): Html {
  const reasons = run.reasons.map((text) => plainLine(capital(text)));
  return row(run, bulletList(reasons, 'problems'), run.altered);
}

function decidedRow(run: DecidedEntry): Html {
  const { seal, decision } = run;
  const names = new Set(seal.signoffs.map(({ predicate }) => predicate.signer.name));
  const by = names.size > 0 ? ` by ${[...names].join(', ')}` : '';
  return row(run, [
    html`<p>${sealLabel(seal)} ${plainLine(`Signed: ${decision}${by}.`)}</p>`,
    seal.seats.length > 0 && html`<p>${plainLine(seatsText(seal.seats))}</p>`,
    seal.unmet.length > 0 && html`<p>${plainLine(`Policy: ${seal.unmet.join('; ')}.`)}</p>`,
  ]);
}

function row(run: ListedRun, words: Content, altered = false): Html {
  const { folder, lamp, build, started, id, verdict } = run;
  return html`
    <li class="row">
      <div class="margin">${altered ? alteredLabel() : verdictLabel(verdict)}</div>
      <div>
        <a class="name" href="${runHref(folder)}">${plainLine(`${lamp}, build ${build}`)}</a>
        ${artificialLabel(run)}
        <p class="aside">${dateText(started)}; run ${shortId(id)}</p>
        ${words}
      </div>
    </li>`;
}
