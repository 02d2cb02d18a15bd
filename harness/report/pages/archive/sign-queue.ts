import { shortId } from '../../../record/run-id.ts';
import type { Verdict } from '../../../verdict/verdict.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { plainLine } from '../../words/plain-text.ts';
import { dateText } from '../run/run-head.ts';
import { runHref } from './run-list.ts';
import { type CheckedSeal, sealLabel } from './seal.ts';

export interface QueuedRun {
  readonly folder: string;
  readonly id: string;
  readonly started: string;
  readonly lamp: string;
  readonly build: string;
  readonly verdict: Verdict;
  /** Seeded faults: such a run says nothing of the lamp. */
  readonly faults: number;
  /** Claims that did not hold. */
  readonly open: readonly { readonly spec: string; readonly verdict: Verdict }[];
}

export interface DecidedRun extends Omit<QueuedRun, 'open'> {
  readonly decision: string;
  readonly seal: CheckedSeal;
}

export interface SignQueue {
  /** Sealed and complete, and nobody decided. */
  readonly waiting: readonly QueuedRun[];
  /** How many more wait than are listed. */
  readonly more: number;
  readonly decided: readonly DecidedRun[];
  /** What the policy asks for, in a sentence; null without one. */
  readonly policy: string | null;
}

/** Runs that wait for a decision, and the last decisions with what checking them came to. */
export function viewQueue({ waiting, more, decided, policy }: SignQueue): Content {
  return [
    element(
      'p',
      { class: 'lead' },
      policy === null
        ? 'No policy is in force here: whoever has a key may sign. Start evenfall view with --policy FILE to hold decisions against one.'
        : plainLine(policy),
    ),
    element(
      'section',
      {},
      element(
        'h2',
        {},
        waiting.length === 0
          ? 'Nothing waits for a decision'
          : `Waiting for a decision: ${waiting.length + more}`,
      ),
      element('ul', { class: 'rows' }, waiting.map(waitingRow)),
      more > 0 && element('p', { class: 'aside' }, `${more} older runs wait too.`),
    ),
    decided.length > 0 &&
      element(
        'section',
        {},
        element('h2', {}, 'Last decisions'),
        element('ul', { class: 'rows' }, decided.map(decidedRow)),
      ),
  ];
}

function waitingRow(run: QueuedRun): Markup {
  const open = run.open.map(({ spec, verdict }) => `${spec} (${verdict})`);
  const shown = open.slice(0, 6).join(', ');
  const rest = open.length > 6 ? ` and ${open.length - 6} more` : '';
  return row(run, [
    element(
      'p',
      {},
      open.length === 0 ? 'Every claim holds.' : plainLine(`Open: ${shown}${rest}.`),
    ),
    element(
      'p',
      {},
      element(
        'a',
        { href: runHref(run.folder, 'sign') },
        `Sign a decision on run ${shortId(run.id)}`,
      ),
    ),
  ]);
}

function decidedRow(run: DecidedRun): Markup {
  const names = run.seal.signoffs.map(({ predicate }) => predicate.signer.name);
  const by = names.length > 0 ? ` by ${[...new Set(names)].join(', ')}` : '';
  return row(run, [
    element('p', {}, sealLabel(run.seal), ' ', plainLine(`Signed: ${run.decision}${by}.`)),
    run.seal.unmet.length > 0 &&
      element('p', {}, plainLine(`Policy: ${run.seal.unmet.join('; ')}.`)),
  ]);
}

function row(run: Omit<QueuedRun, 'open'>, words: Content): Markup {
  return element(
    'li',
    { class: 'row' },
    element('div', { class: 'margin' }, verdictLabel(run.verdict)),
    element(
      'div',
      {},
      element(
        'a',
        { class: 'name', href: runHref(run.folder) },
        plainLine(`${run.lamp}, build ${run.build}`),
      ),
      element(
        'p',
        { class: 'aside' },
        `${dateText(run.started)}; run ${shortId(run.id)}${faultsText(run.faults)}`,
      ),
      words,
    ),
  );
}

function faultsText(faults: number): string {
  if (faults === 0) return '';
  return `; ${faults} seeded ${faults === 1 ? 'fault' : 'faults'}: it says nothing of the lamp`;
}
