import { type HannTrack, hannTrack } from '../../analysis/hann-track.ts';
import { fadeChart } from '../../charts/fade-charts.ts';
import { observedFade } from '../../features/fade/observed-fade.ts';
import type { Metric } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { valueAt } from '../../signal/samples.ts';

/**
 * Overshoot of a fade: the farthest that the light goes beyond its final plateau, from mid-fade on, as a part of the
 * step from plateau to plateau. Averaged (Hann) over `smoothing` so that the modulator does not count as overshoot.
 * Inputs: as for fade-duration. Output: ratio >= 0.
 * Not measurable: as for fade-duration; the scatter that the averages have anyway hides half the step.
 * Fooled by: an overshoot shorter than `smoothing`; a lamp that goes on warming up or drooping after the fade; noise of
 * averages that few samples make.
 * Source: IEEE 181 (overshoot as a part of the transition's amplitude; from memory).
 */
export const fadeOvershoot: Metric = {
  id: 'fade-overshoot',
  title: 'Overshoot of a fade',
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
  blindTo: ['scale'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const fade = observedFade(observation);
    if (!isMeasurable(fade)) return fade;
    const { waveform, fit, commanded } = fade;
    const width = Math.max(Number(observation.parameters['smoothing'] ?? 0.02), 1 / waveform.rate);
    const amplitude = fit.endPlateau - fit.startPlateau;
    const tail = { from: (fit.start + fit.end) / 2, to: commanded.after.to };
    const track = hannTrack(waveform, tail, width, width / 4);
    const settled = tail.to - 0.6 * (tail.to - Math.max(fit.end, commanded.to));
    const scatter = scatterAfter(track, settled, fit.endPlateau) / Math.abs(amplitude);
    if (!(scatter < 0.5))
      return notMeasurable('below-noise', { found: scatter, needed: 0.5, unit: '1' });
    let farthest = 0;
    let when = fit.end;
    for (let index = 0; index < track.values.length; index++) {
      const beyond = (valueAt(track.values, index) - fit.endPlateau) / amplitude;
      if (beyond > farthest) [farthest, when] = [beyond, valueAt(track.times, index)];
    }
    const shown = evidence
      ? {
          charts: [fadeChart(fade, observation, `End of the fade of ${observation.of}`, width)],
          notes: { at: when, 'plateau-scatter': scatter },
        }
      : noEvidence;
    return measured(farthest, shown, [
      { name: 'scatter of the averages', standard: scatter, isNoise: true },
    ]);
  },
};

/** rms about the plateau once the light has settled. */
function scatterAfter({ times, values }: HannTrack, from: number, plateau: number): number {
  const settled = values.filter((_, index) => valueAt(times, index) >= from);
  if (settled.length === 0) return Number.POSITIVE_INFINITY;
  return Math.sqrt(
    settled.reduce((sum, value) => sum + (value - plateau) ** 2, 0) / settled.length,
  );
}
