import { colouredWaveform } from '../../harness/measure/analysis/coloured-waveform.ts';
import { isColoured } from '../../harness/measure/dark-noise.ts';
import type { Metric } from '../../harness/measure/metric.ts';
import type {
  ColourReading,
  Observation,
  SignalRecord,
} from '../../harness/measure/observation.ts';
import { deviates } from '../../harness/measure/signal/deviates.ts';
import { signals } from '../../harness/measure/signals.ts';
import type { Waveform } from '../../harness/measure/waveform.ts';
import { siUnit } from '../../harness/units/unit.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';
import { recorded } from '../measure/recorded.ts';
import type { Dice } from './dice.ts';
import { colourScale, darkOf, type Instrument } from './disturbances.ts';
import type { Scene, Source } from './scene.ts';

/** One measurement: what the instrument recorded, and what is stated of it. */
export interface Measurement {
  readonly observation: Observation;
  readonly calibration: readonly InputCalibration[];
}

export function realise(
  metric: Metric,
  scene: Scene,
  instrument: Instrument,
  dice: Dice,
): Measurement {
  const clock = 1 + (instrument.timeBase ?? 0) * dice.normal();
  const records = scene.sources.map((source) => recordOf(source, scene, instrument, dice, clock));
  const defaults = metric.parameters.map((p) => [p.name, p.default ?? 0] as const);
  const whole = { from: 0, to: scene.length };
  const stated = scene.sources.map((source, k) =>
    statedOf(source, scene, instrument, records[k]?.capture ?? ''),
  );
  return {
    observation: {
      of: scene.of ?? scene.sources[0]?.of ?? 'light',
      window: scene.window ?? whole,
      ...(scene.reference && { reference: scene.reference }),
      records,
      colour: readingsOf(scene, instrument, dice),
      frames: [],
      ...(scene.selfReports && { selfReports: scene.selfReports }),
      ...(scene.modelled && {
        modelled: {
          ...scene.modelled,
          inputs: new Map(stated.map((input) => [input.capture, input])),
        },
      }),
      commanded: {
        channels: scene.channels ?? [],
        marks: scene.marks ?? [],
        duration: scene.length,
        curve: { kind: 'logarithmic', bottom: 0.001 },
      },
      parameters: { ...Object.fromEntries(defaults), ...scene.parameters },
    },
    calibration: [
      ...stated,
      ...(scene.colour ? [colourStated(scene.colour.size, instrument)] : []),
    ],
  };
}

/** Points within an interval that a mean over it is taken from. */
const parts = 16;

function recordOf(
  source: Source,
  { rate, length }: Scene,
  instrument: Instrument,
  dice: Dice,
  clock: number,
): SignalRecord {
  const { size } = source;
  const count = Math.round(rate * length);
  const seed = Math.floor(dice.between(-(2 ** 31), 2 ** 31));
  const noise = deviates(count, seed, 0);
  const late = deviates(count, seed ^ 0x5bd1e995, 0);
  const offset = (instrument.offset ?? 0) * size * dice.normal();
  const jitter = instrument.jitter ?? 0;
  const samples = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const value = instrument.averages
      ? meanOver(source, k / rate, 1 / rate)
      : source.value(((k + 0.5 + jitter * (late[k] ?? 0)) / rate) * clock);
    samples[k] = value + offset + instrument.white * size * (noise[k] ?? 0);
  }
  const plain: Waveform = { samples, rate, start: 0, unit: unitOf(source), clipped: 0 };
  const dark = darkOf(instrument, size, length);
  const coloured = isColoured(dark) ? colouredWaveform(plain, { ...dark, seed: seed ^ 77 }) : plain;
  return recorded(source.signal, source.of, rounded(coloured, instrument, size));
}

const colourCapture = 'colour-lamp';

/** Readings of a sensor whose filters err apart, and whose noise is its own; jitter, drift and pickup are none of its errors. */
function readingsOf(
  { colour }: Scene,
  { white, offset = 0 }: Instrument,
  dice: Dice,
): readonly ColourReading[] {
  if (!colour) return [];
  const { readings, size } = colour;
  const isIdeal = white === 0;
  const gains = [0, 1, 2].map(() => (isIdeal ? 1 : 1 + colourScale * dice.normal()));
  const zero = offset * size * dice.normal();
  const read = (value: number, axis: number) =>
    value * (gains[axis] ?? 1) + zero + white * size * dice.normal();
  return readings.map(({ at, X, Y, Z }) => ({
    ...{ at, of: 'lamp', capture: colourCapture, integration: 0.02, state: 'good' },
    ...{ X: read(X, 0), Y: read(Y, 1), Z: read(Z, 2) },
  }));
}

function colourStated(size: number, { white, offset = 0 }: Instrument): InputCalibration {
  return {
    ...{ capture: colourCapture, signal: 'colour', of: 'lamp', timeBase: 0, step: 0 },
    standardScale: colourScale,
    standardOffset: offset * size,
    noise: white * size,
  };
}

function meanOver({ value }: Source, from: number, over: number): number {
  let sum = 0;
  for (let k = 0; k < parts; k++) sum += value(from + ((k + 0.5) / parts) * over);
  return sum / parts;
}

function stepOf({ bits }: Instrument, size: number): number {
  // Of a converter that reaches from minus to plus 1.25 times the signal, as most do.
  return bits === undefined ? 0 : (2.5 * size) / 2 ** bits;
}

function rounded(waveform: Waveform, instrument: Instrument, size: number): Waveform {
  const step = stepOf(instrument, size);
  if (step === 0) return waveform;
  const samples = waveform.samples.map((value) => Math.round(value / step) * step);
  return { ...waveform, samples, step, range: { low: -1.25 * size, high: 1.25 * size } };
}

function statedOf(
  { signal, of, size }: Source,
  { length }: Scene,
  instrument: Instrument,
  capture: string,
): InputCalibration {
  return {
    capture,
    signal,
    of,
    standardScale: 0,
    standardOffset: (instrument.offset ?? 0) * size,
    timeBase: instrument.timeBase ?? 0,
    step: stepOf(instrument, size),
    sharedTimeBase: 'clock',
    ...(!instrument.unstated && {
      noise: instrument.white * size,
      dark: darkOf(instrument, size, length),
    }),
  };
}

function unitOf({ signal }: Source): Waveform['unit'] {
  return siUnit[signals[signal].dimensions[0]];
}
