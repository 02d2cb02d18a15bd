import { counted, dateText } from '../../words/prose.ts';
import { timeText } from '../../words/value-text.ts';
import type { LabState, RigState, ShardState, SubmissionState } from './lab-state.ts';

/** `Alcove-6, build 1.8.0` */
export function submissionName({ lamp, build }: SubmissionState): string {
  return `${lamp}, build ${build}`;
}

/** A submission that nothing more will come of. */
export function isOver({ state }: SubmissionState): boolean {
  return state === 'ended' || state === 'failed' || state === 'cancelled';
}

/** What a state is called where people read it: what failed here is the lab, which must not be taken for the lamp. */
export const stateWords: Readonly<Record<SubmissionState['state'], string>> = {
  queued: 'queued',
  running: 'running',
  merging: 'merging',
  ended: 'ended',
  failed: 'failed to run',
  cancelled: 'cancelled',
};

export interface Conditions {
  readonly done: number;
  readonly planned: number;
}

/** Of all shards together. */
export function conditionsOf(shards: readonly ShardState[]): Conditions {
  return {
    done: shards.reduce((sum, { done }) => sum + done, 0),
    planned: shards.reduce((sum, { planned }) => sum + planned, 0),
  };
}

/** `40 of 120 conditions, 1 of 3 shards ended, 12 min of rig time left` */
export function progressText(shards: readonly ShardState[]): string {
  const { done, planned } = conditionsOf(shards);
  const over = shards.filter(({ state }) => state === 'ended').length;
  const left = rigTimeLeft(shards);
  return [
    `${done} of ${counted(planned, 'condition')}`,
    shards.length > 1 ? `${over} of ${shards.length} shards ended` : '',
    left > 0 ? `${timeText(left)} of rig time left` : '',
  ]
    .filter(Boolean)
    .join(', ');
}

/** Expected, s. A shard that has not ended is taken to go on as evenly as it was planned. */
function rigTimeLeft(shards: readonly ShardState[]): number {
  return shards
    .filter(({ state }) => state === 'queued' || state === 'running')
    .map(({ done, planned, rigTime }) => rigTime * (planned > 0 ? 1 - done / planned : 1))
    .reduce((sum, left) => sum + Math.max(0, left), 0);
}

/** What a rig does, in a word. */
export function rigStanding({ isHeard, now }: RigState): 'not heard' | 'running' | 'idle' {
  if (!isHeard) return 'not heard';
  return now ? 'running' : 'idle';
}

/** When it was last heard of, in a phrase. */
export function heardText({ lastSeen }: RigState): string {
  return lastSeen === null ? 'never heard' : `last heard ${dateText(lastSeen)}`;
}

/** Calibrations that somebody has to see to, a sentence each, the most urgent first; one sentence where there is none. */
export function calibrationNotes({ calibration }: RigState): string[] {
  const byDue = calibration.toSorted((a, b) => (a.due < b.due ? -1 : 1));
  const [first] = byDue;
  if (!first) return [];
  const urgent = byDue.filter(({ state }) => state !== 'valid');
  if (urgent.length === 0)
    return [
      `${calibration.length === 1 ? 'Calibration' : 'All calibrations'} valid until ${first.due}.`,
    ];
  return urgent.map(({ instrument, due, state }) =>
    state === 'overdue'
      ? `▲ Calibration of ${instrument} overdue since ${due}.`
      : `Calibration of ${instrument} due soon, on ${due}.`,
  );
}

/** `19:45:10 UTC on 30 November 2026` */
export function clockText(instant: string): string {
  const [day = ''] = dateText(instant).split(',');
  return `${instant.slice(11, 19)} UTC on ${day}`;
}

/** Sentences that one message holds; whoever hears the page cannot skip the rest. */
const mostNews = 3;

/** What came about from one state to the next, for those who hear the page; empty where it is only progress. */
export function labNews(before: LabState, after: LabState): string {
  const known = new Map(before.submissions.map((one) => [one.id, one]));
  const rigs = new Map(before.rigs.map((one) => [one.name, one]));
  const news = [
    ...after.submissions.map((one) => submissionNews(known.get(one.id), one)),
    ...after.rigs.map((one) => rigNews(rigs.get(one.name), one)),
  ].filter((sentence) => sentence !== '');
  const more = news.length - mostNews;
  return [...news.slice(0, mostNews), ...(more > 0 ? [`And ${more} more.`] : [])].join(' ');
}

/** A sentence; empty where the state is as it was. */
export function submissionNews(
  before: SubmissionState | undefined,
  after: SubmissionState,
): string {
  if (before?.state === after.state) return '';
  const name = submissionName(after);
  if (after.state === 'ended') return `${name}: ${after.verdict ?? 'ended'}.`;
  return before
    ? `${name}: ${stateWords[after.state]}.`
    : `New: ${name}, ${stateWords[after.state]}.`;
}

function rigNews(before: RigState | undefined, after: RigState): string {
  if (before?.isHeard === after.isHeard) return '';
  if (!before) return `New rig: ${after.name}.`;
  return `${after.name} is ${after.isHeard ? 'heard again' : 'not heard any more'}.`;
}

/** The address of a submission's own page. */
export function submissionHref(id: string): string {
  return `/lab/submissions/${encodeURIComponent(id)}`;
}
