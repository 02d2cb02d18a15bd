import { findMetric } from '../measure/metrics.ts';
import type { ConditionRecord } from '../record/run-record.ts';
import type { Diagnosed } from './diagnosed-finding.ts';
import { ownFacets } from './facets.ts';
import type { Law } from './law.ts';
import { liesWithin, type Scope } from './scope.ts';
import { isBent } from './transfer.ts';

/** Figures of the light that come out otherwise where it is not as bright as commanded, or not at that instant. */
const ofTheLight = new Set(['level', 'fade', 'colour', 'flicker', 'camera']);
const ofTheModel = new Set(['time-outside-model', 'model-excursion']);

/** Figures that a light that changes all the time spoils; the mean of a level, and the time of a fade, it leaves alone. */
const ofModulation = new Set([
  'level-noise',
  'dropouts',
  'highest-level',
  'lowest-level',
  'largest-visible-step',
  'step-size',
  'blackouts',
  'flashes',
  'longest-blackout',
  'longest-flash',
  'deepest-dip',
  'highest-flash',
  'lowest-stable-level',
  'command-latency',
  'fade-start-delay',
  'fade-synchrony',
  'start-spread',
  'arrival-spread',
  'fade-overshoot',
  'fade-undershoot',
  'settling-time',
  ...ofTheModel,
]);

/**
 * Whether a failing finding may be a consequence of a law and of nothing else: its light passes levels that the law bends, or fades
 * whose time it stretches, or it looks at what a frequency in the light spoils. Where the record does not say what was commanded, nothing follows.
 */
export function mayFollow(law: Law, scope: Scope | null, one: Diagnosed): boolean {
  if (!isOfItsChannels(scope, one)) return false;
  const { metric } = one.finding;
  const family = findMetric(metric)?.family ?? '';
  const ramps = segmentsOf(one).filter(([, , first, last]) => first !== last);
  if (law.kind === 'factor' && metric !== 'fade-duration')
    return (family === 'fade' || ofTheModel.has(metric)) && ramps.length > 0;
  if (law.kind === 'frequency')
    return family === 'flicker' || family === 'camera' || ofModulation.has(metric);
  if (law.kind !== 'transfer') return false;
  return (
    (ofTheLight.has(family) || ofTheModel.has(metric)) &&
    segmentsOf(one).some(([, , first, last]) =>
      levelsBetween(first, last).some((level) => isBent(law.transfer, level)),
    )
  );
}

/** What is wrong with one channel follows for that channel, and for the light of all of them. */
function isOfItsChannels(scope: Scope | null, one: Diagnosed): boolean {
  if (!scope) return true;
  const isOfOne = one.facets.has(ownFacets.channel);
  return scope.facet === ownFacets.channel && !isOfOne ? true : liesWithin(scope, one);
}

type Segments = NonNullable<ConditionRecord['commanded']>[number]['segments'];

/** What was commanded of its channel, or of all where it is of none. */
function segmentsOf({ condition: { commanded = [] }, finding }: Diagnosed): Segments {
  const own = commanded.filter(({ channel }) => channel === finding.of);
  return (own.length > 0 ? own : commanded).flatMap(({ segments }) => segments);
}

const levelsInRamp = 24;
const dimmest = 0.001;

/** Levels that are passed on the way, evenly in log light; dark ends of a fade are left out. */
function levelsBetween(first: number, last: number): number[] {
  const [from, to] = [Math.log(Math.max(first, dimmest)), Math.log(Math.max(last, dimmest))];
  if (first === last) return [last];
  return Array.from({ length: levelsInRamp + 1 }, (_, k) =>
    Math.exp(from + ((to - from) * k) / levelsInRamp),
  );
}
