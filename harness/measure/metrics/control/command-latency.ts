import { hannTrack } from '../../analysis/hann-track.ts';
import { hannMean } from '../../analysis/means.ts';
import { lengthOf, windowed } from '../../analysis/waveform-part.ts';
import { fadeEnds, shapeWidth, standardPerShift } from '../../features/fade/fade-ends.ts';
import { observedFade } from '../../features/fade/observed-fade.ts';
import type { Metric } from '../../metric.ts';
import { channelNeed } from '../../needs.ts';
import type { Observation, Window } from '../../observation.ts';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  noEvidence,
  notMeasurable,
} from '../../outcome.ts';
import { sampleAt, valueAt } from '../../signal/samples.ts';
import { turningPoints, weightedChannels } from '../../subject/commanded-light.ts';
import { lampRecord, soundRecord } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';

/**
 * Time from a command to the first change of the light. The command's instant is the first rising edge of the sync
 * pin in the window, or the instant at which the change was commanded. A jump counts when the averaged light is half
 * way; a fade counts from where its fitted line leaves the plateau.
 * Inputs: LED current (A) or light (lx), one commanded change in the window; sync pin (V) where there is one.
 * Output: s.
 * Not measurable: no change or several commanded, no light on either side, the light does not change.
 * Fooled by: a smooth fade, whose beginning is a matter of its fitted line; a sync pin that is raised late; a link
 * whose delay is not calibrated, without a sync pin.
 * Source: common practice, no source.
 */
export const commandLatency: Metric = {
  id: 'command-latency',
  title: 'Latency from command to light',
  family: 'control',
  unit: 's',
  dimension: 'time',
  shown: 'ms',
  needs: channelNeed,
  parameters: [
    {
      name: 'smoothing',
      kind: 'time',
      default: 0.004,
      about: 'width of the window that the light is averaged over, to take out the modulator',
    },
    {
      name: 'threshold',
      kind: 'voltage',
      default: 1.5,
      about: 'voltage above which the sync pin is high',
    },
  ],
  source: 'common-practice',
  blindTo: ['scale', 'offset'],
  compute(observation, { evidence = true } = {}) {
    const changes = turningPoints(observation, open(observation.window));
    const commanded = changes[0];
    if (commanded === undefined)
      return notMeasurable('no-fade', { note: 'no change is commanded' });
    const sync = syncInstant(observation, commanded);
    const light = isFade(observation, commanded)
      ? fadeStart(observation)
      : jump(observation, commanded, changes[1]);
    if (!isMeasurable(light)) return light;
    const early = sync.at - light.at;
    const standard = Math.hypot(light.standard, sync.standard);
    // No fade begins so long before its command: a modulator was taken for it.
    if (light.lasts !== undefined && early > Math.min(light.lasts, certainlyEarly * standard)) {
      const note = 'the light seems to change before the command';
      return notMeasurable('unresolved', { found: early, needed: 0, unit: 's', note });
    }
    const notes = { command: sync.at, 'command-from': sync.from, light: light.at };
    return measured(light.at - sync.at, evidence ? { charts: [], notes } : noEvidence, [
      { name: 'instant of the light', standard: light.standard },
      { name: 'instant of the command', standard: sync.standard },
    ]);
  },
};

/** So many standard uncertainties before the command are no chance. */
const certainlyEarly = 3;

interface Instant {
  readonly at: number;
  readonly standard: number;
  /** What was commanded to last so long, s; absent of a jump. */
  readonly lasts?: number;
}

/** A change on the window's first instant counts. */
function open({ from, to }: Window): Window {
  return { from: from - 1e-6, to };
}

function isFade(observation: Observation, at: number): boolean {
  return weightedChannels(observation).some(({ channel }) =>
    channel.segments.some(
      ({ from, startLevel, endLevel }) => Math.abs(from - at) < 1e-6 && startLevel !== endLevel,
    ),
  );
}

function syncInstant(
  observation: Observation,
  commanded: number,
): Instant & { readonly from: string } {
  const { window, parameters, commanded: story } = observation;
  const record = lampRecord(observation, 'sync');
  const threshold = Number(parameters['threshold'] ?? 1.5);
  if (isMeasurable(record)) {
    const { samples, rate, start } = windowed(record.waveform, window.from, window.to);
    for (let index = 1; index < samples.length; index++) {
      const [before, after] = [sampleAt(samples, index - 1), sampleAt(samples, index)];
      if (before <= threshold && after > threshold) {
        const part = (threshold - before) / (after - before);
        const at = start + (index - 0.5 + part) / rate;
        return { at, standard: 1 / (rate * Math.sqrt(12)), from: 'sync pin' };
      }
    }
  }
  return { at: commanded, standard: story.standardInstant ?? 0, from: 'time line' };
}

function fadeStart(observation: Observation): Instant | NotMeasurable {
  const fade = observedFade(observation, channelNeed);
  if (!isMeasurable(fade)) return fade;
  const { start, standardStart, standardPlateaus } = fade.fit;
  // As for the delay of a fade's start: where the light leaves the line, and what instant a sample is of.
  const { startShift } = fadeEnds(fade, shapeWidth(fade));
  const shape = standardPerShift * Math.abs(startShift);
  const sample = 0.5 / fade.waveform.rate / Math.sqrt(3);
  const standard = Math.hypot(standardStart, standardPlateaus, shape, sample);
  return { at: start, standard, lasts: fade.commanded.to - fade.commanded.from };
}

/** A change is one when it is this many times the scatter of the averages before it. */
const certainty = 8;

/** A command took effect at most this many of its standard uncertainties before or after its instant. */
const farthest = 3;

/** rms scatter of the averages in the steady light before the command. */
function scatterBefore(waveform: Waveform, commanded: number, width: number): number {
  const stretch = { from: commanded - 25 * width, to: commanded };
  const { values } = hannTrack(waveform, stretch, width, width / 2);
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
}

/** Where the averaged light passes the middle between its levels before and after the jump. */
function jump(
  observation: Observation,
  commanded: number,
  next: number | undefined,
): Instant | NotMeasurable {
  const waveform = soundRecord(observation, channelNeed);
  if (!isMeasurable(waveform)) return waveform;
  const { window, parameters, commanded: story } = observation;
  const end = next ?? window.to;
  /** The light may have changed since. */
  const earliest = commanded - farthest * (story.standardInstant ?? 0);
  const width = Math.max(Number(parameters['smoothing'] ?? 0.004), 1 / waveform.rate);
  // The light before the jump may lie ahead of the window.
  const before = levelIn(waveform, earliest - 25 * width, earliest);
  const after = levelIn(waveform, commanded + 0.6 * (end - commanded), end);
  if (before === null || after === null) {
    return notMeasurable('no-plateau', { note: 'no light is recorded on one side of the change' });
  }
  const track = hannTrack(waveform, { from: earliest - 2 * width, to: end }, width, width / 20);
  if (Math.abs(after - before) < certainty * scatterBefore(waveform, earliest, width)) {
    return notMeasurable('no-edge', { note: 'the light does not follow the command' });
  }
  const middle = (before + after) / 2;
  const rising = after > before;
  for (let index = 1; index < track.times.length; index++) {
    const [one, two] = [valueAt(track.values, index - 1), valueAt(track.values, index)];
    if (rising ? one <= middle && two > middle : one >= middle && two < middle) {
      const part = (middle - one) / (two - one);
      const [from, to] = [valueAt(track.times, index - 1), valueAt(track.times, index)];
      // An eighth of the window is where a pulse train may pull the middle to.
      return { at: from + part * (to - from), standard: width / 8 / Math.sqrt(3) };
    }
  }
  return notMeasurable('no-edge', { note: 'the light does not follow the command' });
}

function levelIn(waveform: Waveform, from: number, to: number): number | null {
  const part = windowed(waveform, from, to);
  return lengthOf(part) < 4 ? null : hannMean(part);
}
