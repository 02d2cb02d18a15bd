import { hannTrack } from '../../analysis/hann-track.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { levelChart } from '../../charts/level-charts.ts';
import { referenceLevel } from '../../features/level/reference-level.ts';
import type { Metric } from '../../metric.ts';
import { relativeLevelNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import { valueAt } from '../../signal/samples.ts';
import { commandedLevel, turningPoints } from '../../subject/commanded-light.ts';
import { soundPart } from '../../subject/sound-record.ts';

/** The threshold has to be this many times the noise of an average. */
const certainty = 5;
/** Samples that an average needs, and averages within the width of one. */
const fewestSamples = 4;
const perWidth = 8;

/**
 * Time from switching off to the last instant at which the light, averaged over `smoothing`, is above `threshold` of the
 * reference. Switched off is where the command goes dark within the window, or else at the window's start (the supply).
 * Inputs: light (lx) or LED current (A), four samples in `smoothing`. Output: s, 0 for dark at once. An afterglow of time
 * constant τ from the reference's level takes τ ln(1 / threshold) (closed form).
 * Not measurable: no or dark reference, light still above the threshold at the window's end, threshold within the noise.
 * Floor: half an average.
 * Fooled by: stray light and the zero of the input near `threshold`; a sensor that is slow itself; phosphor, whose glow
 * is the lamp's but not the firmware's.
 * Source: common practice, no source.
 */
export const afterglowTime: Metric = {
  id: 'afterglow-time',
  title: 'Time of afterglow',
  family: 'level',
  unit: 's',
  dimension: 'time',
  shown: 'ms',
  needs: relativeLevelNeed,
  parameters: [
    {
      name: 'threshold',
      kind: 'ratio',
      default: 1e-3,
      about: 'part of the reference below which the light is off',
    },
    {
      name: 'smoothing',
      kind: 'time',
      default: 2e-3,
      about: 'width of the window that the light is averaged over, to take out the modulator',
    },
  ],
  source: 'common-practice',
  blindTo: ['scale'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const { parameters, commanded } = observation;
    const smoothing = Number(parameters['smoothing'] ?? 2e-3);
    const need = {
      ...relativeLevelNeed,
      rate: fewestSamples / smoothing,
      duration: fewestSamples * smoothing,
    };
    const waveform = soundPart(observation, need);
    if (!isMeasurable(waveform)) return waveform;
    const full = referenceLevel(observation);
    if (!isMeasurable(full)) return full;
    const track = hannTrack(waveform, observation.window, smoothing, smoothing / perWidth);
    const { times, values, width } = track;
    const limit = Number(parameters['threshold'] ?? 1e-3) * full.value;
    const noise = (hannNoise * quietNoise(waveform)) / Math.sqrt(width * waveform.rate);
    if (!(limit > certainty * noise)) {
      const facts = { found: limit / full.value, needed: (certainty * noise) / full.value };
      return notMeasurable('below-noise', { ...facts, unit: '1', note: 'the threshold' });
    }
    let last = values.length - 1;
    while (last >= 0 && valueAt(values, last) < limit) last--;
    if (last === values.length - 1)
      return notMeasurable('no-plateau', { note: 'the light does not go off within the window' });
    const off = offInstant(observation);
    const at = last < 0 ? off : valueAt(times, last);
    const shown = evidence
      ? { charts: [levelChart(track, waveform.unit, limit, at)], notes: { off, dark: at } }
      : noEvidence;
    return measured(
      Math.max(0, at - off),
      shown,
      [
        // Light that ends abruptly is seen for half an average longer, or shorter where it is dim.
        { name: 'flank of the average', standard: width / 2 / Math.sqrt(3) },
        { name: 'instant of the command', standard: commanded.standardInstant ?? 0 },
      ],
      Math.max(0, at - off, width / 2),
    );
  },
};

/** The last instant of the window at which the command goes dark, or else the window's start. */
function offInstant(observation: Observation): number {
  const { from, to } = observation.window;
  const goes = turningPoints(observation, { from: from - 1e-6, to }).filter(
    (at) =>
      commandedLevel(observation, at + 1e-6) === 0 && commandedLevel(observation, at - 1e-6) > 0,
  );
  return goes.at(-1) ?? from;
}
