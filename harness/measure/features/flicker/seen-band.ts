import type { Need, Parameter } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import type { Waveform } from '../../waveform.ts';

/** Beyond the 3 kHz at which the practices of IEEE 1789 end, Hz; common practice, no source. */
const leastBand = 4000;
/** Samples a period that flicker needs to be seen at all: at two, means over half a period may all be alike. */
const samplesAPeriod = 2.5;

/**
 * What a figure of the whole waveform needs: a sample averages over what is faster than it, and what may flicker there
 * leaves no trace. So the figure speaks of flicker up to a stated frequency, and the record must show all of that.
 */
export const wholeWaveformNeed: Need = {
  ...lightNeed,
  rate: samplesAPeriod * leastBand,
  bandwidth: leastBand,
};

export const upTo: Parameter = {
  name: 'up-to',
  kind: 'frequency',
  default: leastBand,
  about: 'fastest flicker that the figure speaks of (4 kHz or more); what is faster is not judged',
};

/** Why the record does not show flicker up to the frequency asked for, or null. */
export function bandUnseen(
  { rate, bandwidth }: Waveform,
  parameters: Readonly<Record<string, number | string>>,
): NotMeasurable | null {
  const fastest = Math.max(leastBand, Number(parameters[upTo.name] ?? leastBand));
  const needed = samplesAPeriod * fastest;
  if (rate < needed * (1 - 1e-3)) {
    return notMeasurable('too-slow', { found: rate, needed, unit: 'Hz' });
  }
  return bandwidth !== undefined && bandwidth < fastest * (1 - 1e-3)
    ? notMeasurable('too-narrow', { found: bandwidth, needed: fastest, unit: 'Hz' })
    : null;
}
