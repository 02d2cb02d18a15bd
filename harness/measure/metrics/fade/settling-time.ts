import { type HannTrack, hannTrack } from '../../analysis/hann-track.ts';
import { hiddenByCodes } from '../../analysis/hidden-by-codes.ts';
import { fadeChart } from '../../charts/fade-charts.ts';
import { observedFade } from '../../features/fade/observed-fade.ts';
import type { Metric } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import { quickselect } from '../../signal/quickselect.ts';
import { valueAt } from '../../signal/samples.ts';

/** The band has to be this many times the scatter of an average. */
const certainty = 5;
/** Averages within the width of one. */
const perWidth = 8;

/**
 * Settling time of a fade: from its commanded end to the last instant at which the light, averaged (Hann) over `smoothing`, is
 * farther than `band` from its final plateau, as a part of that plateau.
 * Inputs: as for fade-duration. Output: s; negative where the light is within the band before the end.
 * The final level is that of the last 15 % of the record; U holds what the light may still go on.
 * Not measurable: as for fade-duration; a fade to dark; light that leaves the band until the record ends; a band that noise hides.
 * Fooled by: light that goes on changing behind the window; a modulator that `smoothing` does not average away; a
 * `band` near the noise.
 * Source: IEEE 181 (transition settling duration: last entry into a band about the final level; from memory). The band as a part
 * of the final level, and the commanded end as its origin, are common practice, no source.
 */
export const settlingTime: Metric = {
  id: 'settling-time',
  title: 'Settling time of a fade',
  family: 'fade',
  unit: 's',
  dimension: 'time',
  shown: 'ms',
  needs: fadeNeed,
  parameters: [
    {
      name: 'band',
      kind: 'ratio',
      default: 0.02,
      about: 'part of the final level within which the light has settled',
    },
    {
      name: 'smoothing',
      kind: 'time',
      default: 0.02,
      about: 'width of the window that the light is averaged over, to take out the modulator',
    },
  ],
  source: 'ieee-181',
  blindTo: ['scale'],
  compute(observation, { evidence = true } = {}) {
    const fade = observedFade(observation);
    if (!isMeasurable(fade)) return fade;
    const { waveform, fit, commanded } = fade;
    const { parameters } = observation;
    if (commanded.endPlateau <= 0)
      return notMeasurable('out-of-domain', { note: 'a fade to dark has no level to settle on' });
    const smoothing = Number(parameters['smoothing'] ?? 0.02);
    const span = { from: commanded.from, to: commanded.after.to };
    const track = hannTrack(waveform, span, smoothing, smoothing / perWidth);
    const band = Number(parameters['band'] ?? 0.02) * fit.endPlateau;
    const noise = (hannNoise * fit.noise) / Math.sqrt(track.width * waveform.rate);
    const final = finalLevel(track);
    const last = lastOutside(track, final, band);
    const needed =
      certainty * Math.max(noise, scatterBehind(track, commanded.to)) + hiddenByCodes(waveform);
    if (!(band > needed)) {
      const facts = { found: band, needed, unit: waveform.unit };
      return notMeasurable('below-noise', { ...facts, note: 'the band' });
    }
    if (last === track.values.length - 1)
      return notMeasurable('no-plateau', { note: 'the light does not settle in the band' });
    const at = last < 0 ? commanded.from : valueAt(track.times, last);
    const shown = evidence
      ? {
          charts: [
            fadeChart(fade, observation, `End of the fade of ${observation.of}`, track.width),
          ],
          notes: { settled: at, 'commanded-end': commanded.to },
        }
      : noEvidence;
    return measured(at - commanded.to, shown, [
      // What ends abruptly is seen for half an average longer, or not at all where it is as short.
      { name: 'flank of the average', standard: track.width / 2 / Math.sqrt(3) },
      { name: 'noise at the entry', standard: standardOfEntry(track, last, noise) },
      { name: 'final level', standard: entryOfDoubt(track, final, fit.endPlateau, band) },
      { name: 'instant of the command', standard: observation.commanded.standardInstant ?? 0 },
    ]);
  },
};

/** Part of the record behind the command that stands for the final level. */
const finalPart = 0.15;

/** Mean of the last averages: what settles slowly is nearest to its final level there. */
function finalLevel({ values }: HannTrack): number {
  const last = values.subarray(Math.floor((1 - finalPart) * values.length));
  return last.reduce((sum, value) => sum + value, 0) / last.length;
}

/**
 * What an average behind the fade scatters by, slow noise too, from second differences of averages that do not overlap; their
 * median in the later half, so that neither what settles smoothly nor a step counts. 0 where there are too few.
 */
function scatterBehind({ times, values }: HannTrack, end: number): number {
  const behind = values.subarray(times.findIndex((at) => at > end));
  const late = behind.subarray(behind.length >> 1);
  const sizes = new Float64Array(Math.max(0, late.length - 2 * perWidth));
  if (sizes.length < perWidth) return 0;
  for (let k = 0; k < sizes.length; k++) {
    const [one, two] = [valueAt(late, k), valueAt(late, k + 2 * perWidth)];
    sizes[k] = Math.abs(one - 2 * valueAt(late, k + perWidth) + two);
  }
  return quickselect(sizes, sizes.length >> 1) / (medianDeviation * Math.sqrt(6));
}

/** Of a normal distribution's standard deviation. */
const medianDeviation = 0.6745;

/**
 * Standard uncertainty of the entry from that of the final level, s: light that still moves towards it may go on by as much as it
 * did from the mean of the plateau to its end, either way (a rectangle).
 */
function entryOfDoubt(track: HannTrack, final: number, plateau: number, band: number): number {
  const nominal = lastOutside(track, final, band);
  const moved = [-1, 1].map(
    (side) => lastOutside(track, final + side * (final - plateau), band) - nominal,
  );
  const farthest = Math.max(...moved.map(Math.abs));
  return (farthest * track.width) / perWidth / Math.sqrt(3);
}

/** Place of the last average that lies outside the band; -1 where none does. */
function lastOutside({ values }: HannTrack, final: number, band: number): number {
  let last = values.length - 1;
  while (last >= 0 && Math.abs(valueAt(values, last) - final) <= band) last--;
  return last;
}

/** By how much noise moves the entry into the band: it enters at the speed that the light has there. */
function standardOfEntry({ times, values, width }: HannTrack, last: number, noise: number): number {
  const reach = Math.round(perWidth / 2);
  const one = Math.max(0, last - reach);
  const two = Math.min(values.length - 1, last + reach);
  const speed =
    Math.abs(valueAt(values, two) - valueAt(values, one)) /
    (valueAt(times, two) - valueAt(times, one));
  return speed > 0 ? Math.min(noise / speed, 10 * width) : 0;
}
