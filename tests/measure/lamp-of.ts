import type { Metric } from '../../harness/measure/metric.ts';
import type { Observation, Segment, SignalRecord } from '../../harness/measure/observation.ts';
import type { Waveform } from '../../harness/measure/waveform.ts';
import { deviates } from './light-of.ts';
import { recorded } from './recorded.ts';

/** How a simulated channel makes its light: a current as it is, first-order pulse density, or pulse width. */
type Modulator = 'none' | 'pulse-density' | 'pulse-width';

export interface Made {
  readonly rate?: number;
  readonly noise?: number;
  readonly modulator?: Modulator;
  readonly seed?: number;
}

/** A record of one channel: its level (0..1) over time through a modulator, averaged over each sample, with noise. */
export function recordOf(
  level: (t: number) => number,
  seconds: number,
  { rate = 10_000, noise = 0, modulator = 'none', seed = 5 }: Made = {},
): Waveform {
  const next = deviates(seed);
  const make = { none: plain, 'pulse-density': pulseDensity, 'pulse-width': pulseWidth }[modulator];
  const sample = make(level, rate);
  const samples = Float64Array.from(
    { length: Math.round(seconds * rate) },
    (_, k) => sample(k) + noise * next(),
  );
  return { samples, rate, start: 0, unit: 'A', clipped: 0 };
}

function plain(level: (t: number) => number, rate: number): (k: number) => number {
  return (k) => level((k + 0.5) / rate);
}

/** Accumulator with carry of 16 bits at 1 MHz; the density is dithered over the control ticks of 1 ms. */
function pulseDensity(level: (t: number) => number, rate: number): (k: number) => number {
  const clocks = 1e6 / rate;
  const dither = deviates(11);
  let sum = 0;
  let tick = -1;
  let density = 0;
  return (k) => {
    const now = Math.floor((k / rate) * 1000 + 1e-9);
    if (now !== tick) {
      const exact = 65536 * level(now / 1000);
      density = Math.floor(exact) + (Math.abs(dither()) % 1 < exact - Math.floor(exact) ? 1 : 0);
      tick = now;
    }
    sum += density * clocks;
    const ones = Math.floor(sum / 65536);
    sum -= ones * 65536;
    return ones / clocks;
  };
}

/** On from the start of each period of 1 ms for the level that held there. */
function pulseWidth(level: (t: number) => number, rate: number): (k: number) => number {
  const samples = rate / 1000;
  return (k) => {
    const period = Math.floor(k / samples + 1e-9);
    const phase = k - period * samples;
    const on = level(period / 1000) * samples;
    return Math.min(1, Math.max(0, on - phase));
  };
}

export interface Channel {
  readonly channel: string;
  readonly segments: readonly Segment[];
  readonly waveform?: Waveform;
  readonly lumen?: number;
  readonly xy?: readonly [number, number];
}

/** An observation of `of` over everything; parameters have their defaults but for those given. */
export function observe(
  metric: Metric,
  channels: readonly Channel[],
  of: string,
  change: Partial<Observation> = {},
): Observation {
  const duration = Math.max(0, ...channels.flatMap(({ segments }) => segments.map(({ to }) => to)));
  const defaults = metric.parameters.map((one) => [one.name, one.default ?? 0] as const);
  const records = channels.flatMap(({ channel, waveform }): SignalRecord[] =>
    waveform ? [recorded('channel-current', channel, waveform)] : [],
  );
  return {
    of,
    window: { from: 0, to: duration },
    records,
    colour: [],
    frames: [],
    commanded: {
      channels: channels.map(({ channel, segments, lumen = 100, xy = [0.45, 0.41] }) => {
        return { channel, segments, lumen, xy, maxCurrent: 0.7 };
      }),
      marks: [],
      duration,
      curve: { kind: 'logarithmic', bottom: 0.001 },
    },
    ...change,
    parameters: { ...Object.fromEntries(defaults), ...change.parameters },
  };
}

/** Steady stretches one after another: [level, seconds]. */
export function steps(levels: readonly (readonly [number, number])[]): readonly Segment[] {
  let from = 0;
  return levels.map(([level, seconds]) => {
    const segment = { from, to: from + seconds, startLevel: level, endLevel: level };
    from = segment.to;
    return segment;
  });
}

/** Level that segments command at an instant, straight in the log domain within a fade. */
export function levelAt(segments: readonly Segment[], at: number): number {
  const { from, to, startLevel, endLevel } =
    segments.find((one) => at < one.to) ?? segments.at(-1)!;
  if (startLevel === endLevel) return endLevel;
  return (
    startLevel * (endLevel / startLevel) ** Math.min(1, Math.max(0, (at - from) / (to - from)))
  );
}

/** Hold, fade, hold; a dark end is entered from the floor of the curve. */
export function fade(
  start: number,
  end: number,
  seconds: number,
  { before = 0.3, after = 0.5, floor = 0.001 } = {},
): readonly Segment[] {
  const to = before + seconds;
  return [
    { from: 0, to: before, startLevel: start, endLevel: start },
    { from: before, to, startLevel: start || floor, endLevel: end || floor },
    { from: to, to: to + after, startLevel: end, endLevel: end },
  ];
}

/** Duration of the whole story, s. */
export function lengthOf(segments: readonly Segment[]): number {
  return segments.at(-1)!.to;
}
