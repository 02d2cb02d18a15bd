import { darkNoiseOf } from '../../bench/dark-record.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { RawCapture } from '../../bench/ports.ts';
import type { Rig, Wire } from '../../bench/rig.ts';
import { signalRecord } from '../../measure/analysis/signal-record.ts';
import type { ModelledLamp } from '../../measure/modelled-lamp.ts';
import type {
  CaptureId,
  ColourReading,
  Commanded,
  Frame,
  ProbeTrack,
  SelfReport,
  SignalRecord,
} from '../../measure/observation.ts';
import type { Waveform } from '../../measure/waveform.ts';
import { wireFor } from '../../plan/captures/wire-for.ts';
import type { InputCalibration } from '../../verdict/uncertainty.ts';
import type { HeardPass } from '../records/heard-pass.ts';
import type { RawRecord } from '../records/raw-record.ts';
import { modelledLamp } from './modelled-lamp.ts';

/** Everything of one condition that metrics look at, and how well it is known. */
export interface ObservedCondition {
  readonly records: readonly SignalRecord[];
  readonly colour: readonly ColourReading[];
  readonly frames: readonly Frame[];
  readonly commanded: Commanded;
  readonly selfReports: readonly SelfReport[];
  readonly probes: readonly ProbeTrack[];
  /** What a model of the lamp says of it; null where nothing tells what was sent. Told when it is first asked for. */
  modelled(): ModelledLamp | null;
  readonly calibration: readonly InputCalibration[];
}

/** What was recorded of a condition, just now or in a stored run. */
export interface RecordedCondition {
  readonly waveforms: readonly RawRecord[];
  readonly colour: readonly ColourReading[];
  readonly frames: readonly Frame[];
  readonly commanded: Commanded;
  /** What the lamp said of itself; absent where it was not asked. */
  readonly selfReports?: readonly SelfReport[];
  /** Variables of its firmware. */
  readonly probes?: readonly ProbeTrack[];
  /** What was sent to it in each pass; none where the bench cannot tell. */
  readonly heard?: readonly HeardPass[];
}

export function observedCondition(
  recorded: RecordedCondition,
  { rig, lamp }: { readonly rig: Rig; readonly lamp: Lamp },
): ObservedCondition {
  const { waveforms, colour, frames, commanded, selfReports = [], probes = [] } = recorded;
  const { heard = [] } = recorded;
  const calibration = [
    ...waveforms.map((record) => calibrationOf(record, rig)),
    ...colourCalibration(colour, rig, lamp),
  ];
  let told: ModelledLamp | null = null;
  return {
    records: waveforms.map((record) =>
      signalRecord(identityOf(record), { ...toWaveform(record), ...samplingOf(record, rig) }),
    ),
    colour,
    frames,
    commanded,
    selfReports,
    probes,
    modelled: () => (told ??= modelledLamp(heard, lamp, { commanded, calibration })),
    calibration,
  };
}

/** What the rig file says of how its digitiser samples. */
function samplingOf({ capture: { wire } }: RawRecord, rig: Rig): Pick<Waveform, 'means'> {
  const instrument = rig.instruments.find(({ name }) => name === wire.instrument);
  return instrument?.limits.acquisition === 'integrating' ? { means: true } : {};
}

function identityOf({ capture: { id, signal, of } }: RawRecord) {
  return { capture: id, signal, of };
}

/** The converter's step in the record's unit; a record that came as numbers, not as codes, does not tell it. */
function stepOf({ codes, scale }: RawCapture): number | null {
  return codes instanceof Float32Array ? null : Math.abs(scale);
}

/** Raw codes as a waveform in the wire's unit. */
export function toWaveform({ capture, raw, clipped }: RawRecord): Waveform {
  const { codes, scale, offset } = raw;
  const samples = new Float32Array(codes.length);
  for (let index = 0; index < codes.length; index++) {
    samples[index] = (codes[index] ?? 0) * scale + offset;
  }
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
    bandwidth: capture.wire.bandwidth,
    ...(step === null ? {} : { step }),
  };
}

/** Standard uncertainties of one record's way, from the rig file. */
function calibrationOf({ capture, raw }: RawRecord, rig: Rig): InputCalibration {
  const { id, wire, signal, of } = capture;
  return {
    capture: id,
    signal,
    of,
    standardScale: wire.standardScale,
    standardOffset: wire.standardOffset,
    ...(wire.budget && { budget: wire.budget, fullScale: wire.fullScale }),
    noise: wire.noise,
    ...(wire.dark && { dark: darkNoiseOf(wire.dark) }),
    timeBase:
      rig.instruments.find(({ name }) => name === wire.instrument)?.calibration?.timeBase ?? 0,
    step: stepOf(raw) ?? 0,
    sharedScale: `${wire.instrument} ${wire.input}`,
    sharedTimeBase: wire.instrument,
    ...(raw.standardStart !== undefined && {
      standardStart: raw.standardStart,
      sharedStart: `${wire.instrument} at ${raw.start.toFixed(3)} s`,
    }),
  };
}

/** The colour sensor's, for each capture that readings belong to. */
function colourCalibration(
  readings: readonly ColourReading[],
  rig: Rig,
  lamp: Lamp,
): readonly InputCalibration[] {
  const subjects = new Map(readings.map(({ capture, of }) => [capture, of] as const));
  return [...subjects].flatMap(([capture, of]) => {
    const own = wireFor('colour', of, rig, lamp) ?? wireFor('colour', 'colour', rig, lamp);
    return own ? [colourInput(capture, own)] : [];
  });
}

/** One sensor serves whatever is lit: its error is the same in all captures. */
function colourInput(capture: CaptureId, wire: Wire): InputCalibration {
  return {
    capture,
    signal: 'colour',
    of: 'lamp',
    standardScale: wire.standardScale,
    standardOffset: wire.standardOffset,
    ...(wire.budget && { budget: wire.budget, fullScale: wire.fullScale }),
    noise: wire.noise,
    timeBase: 0,
    step: 0,
  };
}
