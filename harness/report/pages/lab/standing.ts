import { type Html, html } from '../../html/html.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import type { RigState, ShardState, SubmissionState } from './lab-state.ts';
import { rigStanding, stateWords } from './lab-words.ts';

/** What stands in the margin beside a submission: its verdict, once it has one. */
export function submissionLabel({ state, verdict }: SubmissionState): Html {
  return state === 'ended' && verdict !== null ? verdictLabel(verdict) : stateLabel(state);
}

export function shardLabel({ state }: ShardState): Html {
  return stateLabel(state);
}

export function rigLabel(rig: RigState): Html {
  const standing = rigStanding(rig);
  return label(standings[standing], standing);
}

function stateLabel(state: SubmissionState['state']): Html {
  return label(states[state], stateWords[state]);
}

/** A mark, and what the style sheet calls it; colour only repeats what mark and word say. */
type Standing = readonly [mark: string, style: 'moving' | 'still' | 'broken'];

const states: Readonly<Record<SubmissionState['state'], Standing>> = {
  queued: ['○', 'still'],
  running: ['…', 'moving'],
  merging: ['…', 'moving'],
  ended: ['●', 'still'],
  failed: ['✕', 'broken'],
  cancelled: ['–', 'still'],
};

const standings: Readonly<Record<ReturnType<typeof rigStanding>, Standing>> = {
  running: ['…', 'moving'],
  idle: ['○', 'still'],
  'not heard': ['✕', 'broken'],
};

function label([mark, style]: Standing, words: string): Html {
  return html`<span class="standing ${style}">${mark} ${words}</span>`;
}
