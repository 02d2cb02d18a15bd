import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import { findMetric } from '../../measure/metrics.ts';
import type { Condition, Criterion } from '../plan.ts';
import { schedule } from '../schedule.ts';
import { type Step, verbOf } from '../verbs/verbs.ts';
import { ListeningLamp, type Miss } from './listening-lamp.ts';

/** A step, and what came of it: null where it reached the lamp, undefined where it does nothing to a lamp. */
interface Shot {
  readonly step: Step;
  readonly miss: Miss | null | undefined;
}

/**
 * Why a condition would prove nothing of this lamp, in one sentence: its stimulus, or what of it lies in the windows of a
 * criterion, does not come to the lamp, so that no lamp could fail. Null where it does.
 */
export function noEvidence(
  condition: Pick<Condition, 'stimulus' | 'criteria' | 'ambient'>,
  lamp: Lamp,
  rig: Pick<Rig, 'links'> | null,
): string | null {
  const { stimulus, criteria, ambient } = condition;
  const listening = new ListeningLamp(lamp, rig);
  const shots = schedule(stimulus, lamp).actions.map(
    ({ step }): Shot => ({ step, miss: verbOf(step).misses?.(step, listening) }),
  );
  if (!ambient) {
    const whole = ofWhole(shots, criteria, lamp);
    if (whole !== null) return whole;
  }
  for (const criterion of criteria) {
    const within = ofWindows(criterion, shots, lamp);
    if (within !== null) return within;
  }
  return null;
}

function ofWhole(
  shots: readonly Shot[],
  criteria: readonly Criterion[],
  { lamp }: Lamp,
): string | null {
  const acting = shots.filter(({ miss }) => miss !== undefined);
  if (acting.length === 0)
    return criteria.every(readsSupply)
      ? null
      : `proves nothing of lamp ${lamp}: the stimulus does nothing to it; add a set, a send, or another step that does`;
  if (acting.some(({ miss }) => miss === null)) return null;
  return `proves nothing of lamp ${lamp}: nothing of the stimulus is for it, since ${acting[0]?.miss?.why}`;
}

/** What a lamp that is left alone draws from its supply is a figure of its own. */
function readsSupply({ metric, signal }: Criterion): boolean {
  const read = signal ? [signal] : (findMetric(metric)?.needs.signals ?? []);
  return read.every((own) => own.startsWith('supply-') || own.startsWith('mains-'));
}

/** From the window that is compared with, where there is one, to the end of the window that is judged. */
function ofWindows(criterion: Criterion, shots: readonly Shot[], { lamp }: Lamp): string | null {
  const { metric, during, reference } = criterion;
  if (during === undefined) return null;
  const windows = [during, ...(reference === undefined ? [] : [reference])].map((name) =>
    windowOf(name, shots),
  );
  const from = Math.min(...windows.map((window) => window.from));
  const to = Math.max(...windows.map((window) => window.to));
  const acting = shots.slice(from, to).filter(({ miss }) => miss !== undefined);
  // A signal is stopped so that it does not cover up what is sent next: then that counts.
  const sent = acting.filter(({ step }) => step.verb !== 'carry');
  const [first, ...others] = sent.length > 0 ? sent : acting;
  if (!first?.miss || [first, ...others].some(({ miss }) => !miss || miss.arrives)) return null;
  const since = reference === undefined ? `in "${during}"` : `from "${reference}" to "${during}"`;
  return `${metric} proves nothing of lamp ${lamp}: nothing that is done ${since} comes to it, since ${first.miss.why}`;
}

/** Places of the steps between a mark and the next. */
function windowOf(
  name: string,
  shots: readonly Shot[],
): { readonly from: number; readonly to: number } {
  const isMark = ({ step }: Shot): boolean => verbOf(step).mark !== undefined;
  const from = shots.findIndex(({ step }) => verbOf(step).mark?.(step) === name);
  if (from < 0) return { from: 0, to: shots.length };
  const next = shots.findIndex((shot, place) => place > from && isMark(shot));
  return { from, to: next < 0 ? shots.length : next };
}
