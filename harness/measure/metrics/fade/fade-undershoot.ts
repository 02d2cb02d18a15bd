import { type HannTrack, hannTrack } from '../../analysis/hann-track.ts';
import { hiddenByCodes } from '../../analysis/hidden-by-codes.ts';
import { fadeChart } from '../../charts/fade-charts.ts';
import { observedFade } from '../../features/fade/observed-fade.ts';
import type { Metric } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import { oneSided } from '../../one-sided.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import { largestAmongNoise } from '../../signal/largest-among-noise.ts';
import { valueAt } from '../../signal/samples.ts';

/** Part of a steady stretch that is not settled yet. */
const settling = 0.4;

/**
 * Undershoot of a fade: the farthest that the light goes back on its way, as a part of the step from plateau to plateau: beyond the
 * first plateau before it starts, within the fade, or behind its final plateau once it was there. What it goes beyond the final
 * plateau is overshoot, and coming back from there none. Averaged (Hann) over `smoothing`.
 * Inputs: as for fade-duration. Output: ratio >= 0.
 * Not measurable: as for fade-duration; the scatter that the averages have anyway hides half the step.
 * Floor: twice that scatter, and what rounding may hide.
 * Fooled by: a dip shorter than `smoothing`; droop behind the fade, which is no undershoot of it; noise at the dim end.
 * Source: IEEE 181 (undershoot before and after a transition, as parts of its amplitude; from memory).
 */
export const fadeUndershoot: Metric = {
  id: 'fade-undershoot',
  title: 'Undershoot of a fade',
  family: 'fade',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: fadeNeed,
  parameters: [
    {
      name: 'smoothing',
      kind: 'time',
      default: 0.02,
      about: 'width of the window that the light is averaged over, to take out the modulator',
    },
  ],
  source: 'ieee-181',
  blindTo: ['scale', 'offset'],
  compute(observation, { evidence = true } = {}) {
    const fade = observedFade(observation);
    if (!isMeasurable(fade)) return fade;
    const { waveform, fit, commanded } = fade;
    const { before, after } = commanded;
    const width = Math.max(Number(observation.parameters['smoothing'] ?? 0.02), 1 / waveform.rate);
    const span = { from: before.from + settling * (before.to - before.from), to: after.to };
    const track = hannTrack(waveform, span, width, width / 4);
    const amplitude = fit.endPlateau - fit.startPlateau;
    const way = (value: number) => (value - fit.startPlateau) / amplitude;
    const start = Math.min(fit.start, commanded.from) - width / 2;
    const settled = after.to - (1 - settling) * (after.to - Math.max(fit.end, commanded.to));
    const scatter = Math.max(
      scatterOf(track, way, { from: span.from, to: start }, 0),
      scatterOf(track, way, { from: settled, to: after.to }, 1),
    );
    if (!(scatter < 0.5))
      return notMeasurable('below-noise', { found: scatter, needed: 0.5, unit: '1' });
    let [reached, farthest, at, short, turn] = [0, 0, fit.start, 0, 0];
    let turned = 0;
    for (let place = 0; place < track.values.length; place++) {
      const own = way(valueAt(track.values, place));
      if (own > reached) turned = place;
      reached = Math.min(1, Math.max(reached, own));
      if (reached - own > farthest) {
        farthest = reached - own;
        short = 1 - reached;
        turn = turned;
        at = valueAt(track.times, place);
      }
    }
    // Noise raises what was reached and lowers what came after.
    const noise = (hannNoise * fit.noise) / Math.sqrt(track.width * waveform.rate);
    const white = (Math.SQRT2 * noise) / Math.abs(amplitude);
    const freed = largestAmongNoise(farthest, white, track.values.length / 2);
    // An average may not have come to the final level before the light went back: then it went back by more. Half is given back.
    const lost = Math.max(short, bluntAt(track, way, turn));
    const unreached = at > fit.end ? Math.min(lost, farthest) : 0;
    const value = Math.max(0, freed.value) + unreached / 2;
    const shown = evidence
      ? {
          charts: [fadeChart(fade, observation, `Fade of ${observation.of}`, width)],
          notes: { at, 'plateau-scatter': scatter },
        }
      : noEvidence;
    return measured(
      value,
      shown,
      [
        { name: 'noise of the averages', standard: freed.standard, isNoise: true },
        { name: 'scatter of the averages', standard: scatter },
        { name: 'level reached before', standard: (oneSided * unreached) / 2 },
      ],
      Math.max(value, 2 * scatter) + hiddenByCodes(waveform) / Math.abs(amplitude),
    );
  },
};

/**
 * What an average lacks of the tip where the light turns round, from averages half a width on either side: of straight flanks
 * 0.21 of the second difference (computed for a Hann window).
 */
function bluntAt({ values }: HannTrack, way: (value: number) => number, place: number): number {
  const [before, after] = [place - 2, place + 2];
  if (before < 0 || after >= values.length) return 0;
  const own = (index: number): number => way(valueAt(values, index));
  return 0.21 * Math.max(0, 2 * own(place) - own(before) - own(after));
}

/** rms of the way about where it should be, within a stretch; none where nothing lies in it. */
function scatterOf(
  { times, values }: HannTrack,
  way: (value: number) => number,
  { from, to }: { readonly from: number; readonly to: number },
  expected: number,
): number {
  let [sum, count] = [0, 0];
  for (let place = 0; place < values.length; place++) {
    const time = valueAt(times, place);
    if (time < from || time > to) continue;
    sum += (way(valueAt(values, place)) - expected) ** 2;
    count++;
  }
  return count === 0 ? 0 : Math.sqrt(sum / count);
}
