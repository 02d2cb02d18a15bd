import { combinedScale, type Rig } from '../bench/rig.ts';
import { signals } from '../measure/signals.ts';
import { formatNumber, formatQuantity } from '../units/format-quantity.ts';
import { siUnit } from '../units/unit.ts';
import type { Doubt } from './doubt.ts';
import type { PlannedJudgement } from './planned-judgement.ts';

/** Test uncertainty ratio: tolerance over expanded uncertainty. 4:1 is common practice, no source; below 1:1 no value can pass. */
const ratios = { warn: 4, refuse: 1 } as const;

/**
 * Holds the tolerance against what calibration alone leaves open: scale, zero and time base of the rig file. The fit
 * and the scatter of a real record come on top, so that this is the best that the rig can do.
 */
export function checkUncertainty(planned: PlannedJudgement, { decision }: Rig): Doubt[] {
  const { metric, criterion } = planned;
  if ('derived' in criterion.limits) return [];
  const { lower, upper, target } = criterion.limits;
  const half =
    lower !== null && upper !== null ? (upper - lower) / 2 : Math.abs(upper ?? lower ?? 0);
  const size = Math.abs(target ?? upper ?? lower ?? 0);
  const standard = bestUncertainty(planned, size);
  const expanded = decision.coverageFactor * standard;
  if (!(expanded > 0) || !(half > 0) || half / expanded >= ratios.warn) return [];
  const severity = half / expanded < ratios.refuse ? 'refuse' : 'warn';
  const shown = (value: number): string => formatQuantity(value, metric.dimension, metric.shown, 2);
  const enough = half / ratios.warn / decision.coverageFactor;
  const message = `the tolerance of ± ${shown(half)} is ${formatNumber(half / expanded, 2)} times the uncertainty of ± ${shown(expanded)} that the rig file leaves; a standard uncertainty of ${shown(enough)} would give ${ratios.warn}:1`;
  return [{ severity, metric: metric.id, line: criterion.line, message }];
}

/** Standard uncertainty of a value of `size`, in the metric's unit, from the wire and the clock alone. */
function bestUncertainty(
  { metric, instrument, capture, lowest, lamp }: PlannedJudgement,
  size: number,
): number {
  const { wire } = capture;
  const blind = metric.blindTo ?? [];
  const timeBase = instrument?.calibration?.timeBase ?? 0;
  if (metric.dimension === 'time' || metric.dimension === 'frequency')
    return blind.includes('time-base') ? 0 : timeBase * size;
  if (siUnit[metric.dimension] === wire.unit) {
    const scale = blind.includes('scale') ? 0 : combinedScale(wire) * size;
    return Math.hypot(scale, blind.includes('offset') ? 0 : wire.standardOffset);
  }
  // Relative quantities: the zero counts against the value at the darkest level.
  const relative =
    metric.dimension === 'ratio' && (metric.family === 'level' || metric.family === 'flicker');
  if (!relative || lowest === null || blind.includes('offset')) return 0;
  const full =
    signals[capture.signal].usualSubject === 'each-channel'
      ? Math.min(...lamp.channels.map(({ maxCurrent }) => maxCurrent))
      : wire.fullScale;
  const error = wire.standardOffset / (lowest * full);
  // A deviation moves by the error itself, a ratio or a depth by the error times its size.
  return metric.id.endsWith('-error') ? error : error * size;
}
