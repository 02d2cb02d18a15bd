import { plainLine } from '../../../files/plain-text.ts';
import { severity, type Verdict, verdictOfRun } from '../../../verdict/verdict.ts';
import { type Html, html } from '../../html/html.ts';
import { verdictClass, verdictLabel } from '../../pictures/verdict-shape.ts';
import { counted } from '../../words/prose.ts';
import { verdictMark } from '../../words/verdict-words.ts';
import { refusal } from './refusal.ts';
import { runningLabel } from './run-list.ts';

/** How far a run in progress has come. */
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
  /** So far; `not run` before the first condition, `not applicable` where the lamp cannot have the claim. */
  readonly verdict: Verdict;
  /** One of its conditions is being measured. */
  readonly running: boolean;
  /** What speaks most against it; null where it holds so far. */
  readonly worst: string | null;
}

/** The part of a claim that moves, in words: what the script of the page writes and what the page begins with. */
export function liveClaimWords({
  done,
  verdict,
  running,
}: Omit<LiveClaim, 'spec' | 'claim'>): string {
  if (verdict === 'not applicable') return `${verdictMark[verdict]} ${verdict}`;
  const now = running ? 'running' : 'waiting';
  if (done === 0) return now;
  const so = `${verdictMark[verdict]} ${verdict} so far, ${counted(done, 'condition')}`;
  return running ? `${now}; ${so}` : so;
}

/** What the style sheet calls that part. */
export function claimClass({ done, verdict }: Pick<LiveClaim, 'done' | 'verdict'>): string {
  return done > 0 ? `so-far ${verdictClass(verdict)}` : 'so-far';
}

/** What is being measured first, then what does not hold, the worst of it ahead, what holds so far, what waits, and last what the lamp cannot have. */
export function liveOrder(claims: readonly LiveClaim[]): readonly LiveClaim[] {
  const rank = ({ done, verdict, running }: LiveClaim): number => {
    if (verdict === 'not applicable') return severity.length + 1;
    if (running) return -1;
    return done > 0 ? severity.indexOf(verdict) : severity.length;
  };
  return claims.toSorted((a, b) => rank(a) - rank(b));
}

export function progressWords({ done, planned }: Pick<LiveProgress, 'done' | 'planned'>): string {
  return planned === null
    ? `${counted(done, 'condition')} measured`
    : `${done} of ${counted(planned, 'condition')} measured`;
}

/** A run in progress. It reads without a script; with it the figures move by themselves. */
export function liveRun(progress: LiveProgress, how: { readonly resume: string }): Html {
  const { state, claims } = progress;
  const verdict = verdictOfRun(claims);
  return html`
    <p class="lead">${state === 'running' ? runningLabel() : verdictLabel(verdict)}</p>
    ${state === 'cut off' && refusal(`This run was cut off: nothing is writing to it any more. ${how.resume} continues it. What was measured is listed below.`)}
    ${progressBar(progress)}
    ${
      state === 'running' &&
      html`
        <p class="aside" role="status" id="milestone"></p>
        <noscript><p>Without scripts this page does not update: load it again to see how far the run has come.</p></noscript>`
    }
    <ul class="rows live">${liveOrder(claims).map(claimRow)}</ul>`;
}

function progressBar(progress: LiveProgress): Html {
  const { done, planned } = progress;
  const values = planned !== null && html` max="${planned}" value="${Math.min(done, planned)}"`;
  return html`
    <p class="progress">
      <label for="progress" id="progress-words">${progressWords(progress)}</label>
      <progress id="progress"${values}></progress>
    </p>`;
}

function claimRow(live: LiveClaim): Html {
  const { claim, spec } = live;
  return html`
    <li class="live-row">
      <span>${plainLine(claim)}<span class="aside"> ${plainLine(spec)}</span><span class="worst" data-worst="${spec}">${plainLine(live.worst ?? '')}</span></span>
      <span class="${claimClass(live)}" data-claim="${spec}">${liveClaimWords(live)}</span>
    </li>`;
}
