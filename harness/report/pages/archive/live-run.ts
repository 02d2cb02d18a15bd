import { rollUp, type Verdict } from '../../../verdict/verdict.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { plainLine } from '../../words/plain-text.ts';
import { verdictMark } from '../../words/verdict-words.ts';
import { runningLabel } from './run-list.ts';

/** How far a run in flight has come. */
export interface LiveProgress {
  readonly state: 'running' | 'cut off' | 'sealed';
  /** Conditions that are measured. */
  readonly done: number;
  /** Conditions that the run set out to do; null where the run does not say. */
  readonly planned: number | null;
  readonly claims: readonly LiveClaim[];
}

export interface LiveClaim {
  readonly spec: string;
  readonly claim: string;
  readonly done: number;
  /** So far; `not run` before the first condition. */
  readonly verdict: Verdict;
}

/** The part of a claim that moves, in words: what the script of the page writes and what the page begins with. */
export function claimWords({ done, verdict }: Pick<LiveClaim, 'done' | 'verdict'>): string {
  if (done === 0) return 'waits';
  return `${verdictMark[verdict]} ${verdict} so far, ${done} ${done === 1 ? 'condition' : 'conditions'}`;
}

export function progressWords({ done, planned }: Pick<LiveProgress, 'done' | 'planned'>): string {
  return planned === null
    ? `${done} conditions measured`
    : `${done} of ${planned} conditions measured`;
}

/** A run in flight. It reads without a script; with it the figures move by themselves. */
export function viewLive(progress: LiveProgress, how: { readonly resume: string }): Content {
  const { state, done, planned, claims } = progress;
  return [
    element(
      'p',
      { class: 'lead' },
      state === 'running'
        ? runningLabel()
        : verdictLabel(rollUp(claims.map(({ verdict }) => verdict))),
    ),
    state === 'cut off' &&
      element(
        'p',
        { class: 'refusal' },
        plainLine(
          `This run was cut off: nothing writes to it any more. ${how.resume} goes on with it. What was measured is listed here.`,
        ),
      ),
    element(
      'p',
      { class: 'progress' },
      element('label', { for: 'progress', id: 'progress-words' }, progressWords(progress)),
      element('progress', {
        id: 'progress',
        max: planned ?? undefined,
        value: planned === null ? undefined : Math.min(done, planned),
      }),
    ),
    state === 'running' && element('p', { class: 'aside', role: 'status', id: 'milestone' }, ''),
    state === 'running' &&
      element(
        'noscript',
        {},
        element(
          'p',
          {},
          'Without scripts this page stands still: load it again to see how far the run has come.',
        ),
      ),
    element('ul', { class: 'rows live' }, claims.map(claimRow)),
  ];
}

function claimRow(claim: LiveClaim): Markup {
  return element(
    'li',
    { class: 'live-row' },
    element(
      'span',
      {},
      plainLine(claim.claim),
      element('span', { class: 'aside' }, ` ${plainLine(claim.spec)}`),
    ),
    element(
      'span',
      {
        class: `so-far ${claim.done > 0 ? claim.verdict.replace(' ', '-') : ''}`,
        'data-claim': claim.spec,
      },
      claimWords(claim),
    ),
  );
}
