import { plainLine } from '../../../files/plain-text.ts';
import { shortId } from '../../../record/ids.ts';
import type { Verdict } from '../../../verdict/verdict.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { counted, dateText } from '../../words/prose.ts';
import { runHref } from './run-list.ts';
import { type CheckedSeal, sealLabel } from './seal.ts';

export interface QueuedRun {
  readonly folder: string;
  readonly id: string;
  readonly started: string;
  readonly lamp: string;
  readonly build: string;
  readonly verdict: Verdict;
  /** Seeded faults: such a run says nothing about the lamp. */
  readonly faults: number;
  /** Claims that did not hold. */
  readonly open: readonly { readonly spec: string; readonly verdict: Verdict }[];
}

export interface DecidedEntry extends Omit<QueuedRun, 'open'> {
  readonly decision: string;
  readonly seal: CheckedSeal;
}

export interface SignQueue {
  /** Sealed and complete, and nobody decided. */
  readonly waiting: readonly QueuedRun[];
  /** How many more wait than are listed. */
  readonly more: number;
  readonly decided: readonly DecidedEntry[];
  /** What the policy asks for, in a sentence; null without one. */
  readonly policy: string | null;
}

/** Runs that wait for a decision, and the last decisions with what checking them came to. */
export function signQueue({ waiting, more, decided, policy }: SignQueue): Html {
  const rule =
    policy ??
    'No policy is in force: anyone with a key may sign. Start evenfall view with --policy FILE to check decisions against one.';
  const heading =
    waiting.length === 0
      ? 'No run is waiting for a decision'
      : `Waiting for a decision: ${waiting.length + more}`;
  return html`
    <p class="lead">${plainLine(rule)}</p>
    <section>
      <h2>${heading}</h2>
      <ul class="rows">${waiting.map(waitingRow)}</ul>
      ${more > 0 && html`<p class="aside">${counted(more, 'older run')} also waiting.</p>`}
    </section>
    ${
      decided.length > 0 &&
      html`
        <section>
          <h2>Latest decisions</h2>
          <ul class="rows">${decided.map(decidedRow)}</ul>
        </section>`
    }`;
}

function waitingRow(run: QueuedRun): Html {
  const open = run.open.map(({ spec, verdict }) => `${spec} (${verdict})`);
  const rest = open.length > 6 ? ` and ${open.length - 6} more` : '';
  const words =
    open.length === 0
      ? 'Every claim holds.'
      : plainLine(`Open claims: ${open.slice(0, 6).join(', ')}${rest}.`);
  const href = runHref(run.folder, 'sign');
  return row(run, [
    html`<p>${words}</p>`,
    html`<p><a href="${href}">Sign a decision on run ${shortId(run.id)}</a></p>`,
  ]);
}

function decidedRow(run: DecidedEntry): Html {
  const { seal, decision } = run;
  const names = new Set(seal.signoffs.map(({ predicate }) => predicate.signer.name));
  const by = names.size > 0 ? ` by ${[...names].join(', ')}` : '';
  return row(run, [
    html`<p>${sealLabel(seal)} ${plainLine(`Signed: ${decision}${by}.`)}</p>`,
    seal.unmet.length > 0 && html`<p>${plainLine(`Policy: ${seal.unmet.join('; ')}.`)}</p>`,
  ]);
}

function row(run: Omit<QueuedRun, 'open'>, words: Content): Html {
  const { folder, lamp, build, started, id, verdict, faults } = run;
  const seeded =
    faults > 0 ? `; ${counted(faults, 'seeded fault')}: says nothing about the lamp` : '';
  return html`
    <li class="row">
      <div class="margin">${verdictLabel(verdict)}</div>
      <div>
        <a class="name" href="${runHref(folder)}">${plainLine(`${lamp}, build ${build}`)}</a>
        <p class="aside">${dateText(started)}; run ${shortId(id)}${seeded}</p>
        ${words}
      </div>
    </li>`;
}
