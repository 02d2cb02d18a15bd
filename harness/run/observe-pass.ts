import type { Lamp } from '../bench/lamp.ts';
import type { RawCapture } from '../bench/ports.ts';
import type { Rig } from '../bench/rig.ts';
import { signalRecord } from '../measure/analysis/signal-record.ts';
import type {
  CaptureId,
  ColourReading,
  Commanded,
  Frame,
  SignalRecord,
} from '../measure/observation.ts';
import type { Waveform } from '../measure/waveform.ts';
import type { Route } from '../plan/routing.ts';
import type { InputCalibration } from '../verdict/uncertainty.ts';
import type { Taking } from './take.ts';

/** Everything of one condition that metrics look at, and how well it is known. */
export interface Evidenced {
  readonly records: readonly SignalRecord[];
  readonly colour: readonly ColourReading[];
  readonly frames: readonly Frame[];
  readonly commanded: Commanded;
  readonly calibration: readonly InputCalibration[];
}

/** The converter's step in the record's unit; a record that came as numbers, not as codes, does not tell it. */
function stepOf({ codes, scale }: RawCapture): number | null {
  return codes instanceof Float32Array ? null : Math.abs(scale);
}

/** Codes at either end of the converter's range. */
export function clippedIn({ codes, lowest, highest }: RawCapture): number {
  let count = 0;
  for (let index = 0; index < codes.length; index++) {
    const code = codes[index]!;
    if (code <= lowest || code >= highest) count++;
  }
  return count;
}

/** Raw codes as a waveform in the wire's unit; `clipped` where it was counted before. */
export function toWaveform(
  raw: RawCapture,
  route: Pick<Route, 'wire'>,
  clipped: number = clippedIn(raw),
): Waveform {
  const { codes, scale, offset } = raw;
  const samples = new Float32Array(codes.length);
  for (let index = 0; index < codes.length; index++)
    samples[index] = codes[index]! * scale + offset;
  const step = stepOf(raw);
  // A scale below zero turns the range over.
  const ends = [raw.lowest * scale + offset, raw.highest * scale + offset];
  return {
    samples,
    rate: raw.rate,
    start: raw.start,
    unit: raw.unit,
    clipped,
    range: { low: Math.min(...ends), high: Math.max(...ends) },
    bandwidth: route.wire.bandwidth,
    ...(step === null ? {} : { step }),
  };
}

/** `clipped` where it was counted before. */
export function recordFrom(
  { route, raw }: Taking,
  { file, clipped }: { readonly file: CaptureId; readonly clipped?: number },
): SignalRecord {
  const { signal, of } = route;
  return signalRecord({ capture: file, signal, of }, toWaveform(raw, route, clipped));
}

/** Standard uncertainties of one record's way, from the rig file. */
export function calibrationOf(
  { route, raw }: Taking,
  { file }: { readonly file: CaptureId },
  rig: Rig,
): InputCalibration {
  const { wire, signal, of } = route;
  return {
    capture: file,
    signal,
    of,
    standardScale: wire.standardScale,
    standardOffset: wire.standardOffset,
    noise: wire.noise,
    timeBase:
      rig.instruments.find(({ name }) => name === wire.instrument)?.calibration?.timeBase ?? 0,
    step: stepOf(raw) ?? 0,
    sharedScale: `${wire.instrument} ${wire.input}`,
    sharedTimeBase: wire.instrument,
  };
}

/** The colour sensor's, for each capture that it took. */
export function colourCalibration(
  readings: readonly ColourReading[],
  rig: Rig,
): readonly InputCalibration[] {
  const captures = [...new Set(readings.map(({ capture }) => capture))];
  return rig.wiring
    .filter(({ signal }) => signal === 'colour')
    .flatMap((wire) =>
      captures.map((capture) => ({
        capture,
        signal: 'colour' as const,
        of: 'lamp',
        standardScale: wire.standardScale,
        standardOffset: wire.standardOffset,
        noise: wire.noise,
        timeBase: 0,
        step: 0,
      })),
    );
}

export function channelNames(lamp: Lamp): readonly string[] {
  return lamp.channels.map(({ channel }) => channel);
}
