import { type Chart, chartPoints, type Line } from '../evidence.ts';
import type { CommandedFade } from '../features/fade/commanded-fade.ts';
import type { FadeFit } from '../features/fade/fit-fade.ts';
import type { RecordedFade } from '../features/fade/recorded-fade.ts';
import { visibleModulation } from '../features/fade/visible-modulation.ts';
import { commandedCourse } from '../features/level/commanded-course.ts';
import type { Observation, Window } from '../observation.ts';
import { decimateMinMax } from '../signal/decimate-min-max.ts';
import type { SpectralLine } from '../signal/spectral-lines.ts';
import type { Waveform } from '../waveform.ts';
import { levelAxis, lightOver } from './course-chart.ts';

/** What is shown before and after a fade, as a part of it. */
const margin = 0.25;

/** A fade, and a fit where one means something. */
interface DrawnFade extends RecordedFade {
  readonly fit?: FadeFit;
  readonly asCommanded?: true;
}

/** The fade as it was commanded, as the averaged light went, and the fitted line, over time in the level of full light. */
export function fadeChart(
  fade: DrawnFade,
  observation: Observation,
  title: string,
  width = (fade.commanded.to - fade.commanded.from) / 50,
): Chart {
  const { waveform, commanded, fit } = fade;
  const shown = shownSpan(fade);
  const { light, full } = lightOver(waveform, observation, shown, width);
  const fitted = fit && !fade.asCommanded ? [fitLine(fade.commanded, fit, shown, full)] : [];
  return {
    kind: 'waveform',
    title,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: levelAxis(commanded.logarithmic),
    lines: [
      { name: 'commanded', role: 'commanded', ...commandedCourse(observation, shown) },
      ...fitted,
      { name: observation.of, role: 'measured', ...light },
    ],
    marks: commandedEnds(commanded),
  };
}

/** A fade of one channel among those of a crossfade. */
interface PartOfCrossfade extends RecordedFade {
  readonly channel: string;
}

/**
 * All channels of a crossfade as shares of their ways along the dimming curve: commanded is one straight line for all of them, and a
 * channel that goes another way, starts late or arrives late leaves it.
 */
export function crossfadeChart(
  fades: readonly PartOfCrossfade[],
  observation: Observation,
  title: string,
): Chart {
  const [first] = fades;
  const ends = first?.commanded ?? { from: 0, to: 0 };
  const shown = first ? shownSpan(first) : ends;
  const lines = fades.map(({ channel, waveform, commanded }): Line => {
    const width = (commanded.to - commanded.from) / 50;
    const { light } = lightOver(waveform, { ...observation, of: channel }, shown, width);
    return { name: channel, role: 'measured', x: light.x, y: light.y.map(shareOf(commanded)) };
  });
  const x = [shown.from, ends.from, ends.to, shown.to];
  return {
    kind: 'waveform',
    title,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'way along the dimming curve', unit: '1', shown: '%', scale: 'linear' },
    lines: [{ name: 'commanded', role: 'commanded', x, y: [0, 0, 1, 1] }, ...lines],
    marks: commandedEnds(ends),
  };
}

/** The share of the way of a level; as far beyond its ends as a picture has room for. */
function shareOf({ startLevel, endLevel, logarithmic }: CommandedFade): (level: number) => number {
  const share = (level: number): number =>
    logarithmic
      ? Math.log(Math.max(level, Number.MIN_VALUE) / startLevel) / Math.log(endLevel / startLevel)
      : (level - startLevel) / (endLevel - startLevel);
  return (level) => Math.min(1.2, Math.max(-0.2, share(level)));
}

function shownSpan({ commanded: { from, to }, waveform, fit }: DrawnFade): Window {
  const air = margin * (to - from);
  return {
    from: Math.max(waveform.start, Math.min(from, fit?.start ?? from) - air),
    to: Math.min(endOf(waveform), Math.max(to, fit?.end ?? to) + air),
  };
}

function endOf({ start, rate, samples }: Waveform): number {
  return start + samples.length / rate;
}

function commandedEnds({ from, to }: Window): Chart['marks'] {
  return [
    { at: from, label: 'commanded start' },
    { at: to, label: 'commanded end' },
  ];
}

function fitLine(commanded: CommandedFade, fit: FadeFit, shown: Window, full: number): Line {
  const { start, end } = fit;
  const turns = commanded.straight
    ? []
    : Array.from({ length: 60 }, (_, k) => start + ((end - start) * k) / 60);
  const x = [shown.from, start, ...turns, end, shown.to];
  return { name: 'fit', role: 'fit', x, y: x.map((at) => fit.levelAt(at) / full) };
}

/** Middle of an average, s, and how far the logarithm of the light there goes beyond the ideal. */
export interface ChartedStep {
  readonly at: number;
  readonly beyond: number;
}

/** Relative change within the eye's smoothing over time, and what of it is beyond the ideal. */
export function stepChart(steps: readonly ChartedStep[]): Chart {
  // A single step must not be thinned away.
  const outline = decimateMinMax(
    Float64Array.from(steps, ({ beyond }) => beyond),
    chartPoints,
  );
  const x = outline.at.flatMap((k) => steps[k]?.at ?? []);
  const worst = steps.toSorted((a, b) => b.beyond - a.beyond)[0];
  return {
    kind: 'waveform',
    title: "Change of light within the eye's smoothing",
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'relative change', unit: '1', shown: '%', scale: 'linear' },
    lines: [
      {
        name: 'beyond the ideal',
        role: 'measured',
        x,
        y: outline.values.map((beyond) => Math.expm1(beyond)),
      },
      { name: 'ideal', role: 'ideal', x: [x[0] ?? 0, x.at(-1) ?? 0], y: [0, 0] },
    ],
    marks: worst ? [{ at: worst.at, label: 'largest step' }] : [],
  };
}

/** Lines of a steady level relative to its mean, with the limit of visibility. */
export function ditherChart(lines: readonly SpectralLine[], mean: number): Chart {
  const kept = lines
    .toSorted((a, b) => b.amplitude - a.amplitude)
    .slice(0, chartPoints)
    .sort((a, b) => a.frequency - b.frequency);
  const frequencies = [1, 3, 8, 20, 50, 89.9, 90, 200, 500, 1250];
  return {
    kind: 'spectrum',
    title: 'Regular changes of the level',
    x: { label: 'frequency', unit: 'Hz', scale: 'log' },
    y: { label: 'amplitude relative to the mean', unit: '1', shown: '%', scale: 'log' },
    lines: [
      {
        name: 'measured',
        role: 'measured',
        x: kept.map(({ frequency }) => frequency),
        y: kept.map(({ amplitude }) => amplitude / mean),
      },
      { name: 'low risk', role: 'limit', x: frequencies, y: frequencies.map(visibleModulation) },
    ],
    marks: [],
  };
}
