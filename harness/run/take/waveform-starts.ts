import { BenchError } from '../../bench/errors.ts';
import type {
  Acquisition as Armed,
  Digitiser,
  InputSetup,
  OpenBench,
  RawCapture,
} from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import type { Window } from '../../measure/observation.ts';
import type { PlannedCapture, PlannedWaveform } from '../../plan/captures/planned-capture.ts';
import { callOn, type StimulusContext } from '../condition/stimulus.ts';
import { type RecordIdentity, rawRecord } from '../records/raw-record.ts';
import type { Collector, LatenessAt, Start } from './collector.ts';
import { instrumentOf } from './instrument-of.ts';
import { boundedRecord } from './record-bounds.ts';
import { mustBeSound } from './sound-codes.ts';

/** One start for each acquisition. */
export function startsOfWaveforms(
  captures: readonly PlannedCapture[],
  bench: OpenBench,
  collector: Collector,
): Start[] {
  const acquisitions = acquisitionsOf(captures.filter((capture) => capture.kind === 'waveform'));
  /** The last record of each instrument. */
  const last = new Map<string, Promise<void>>();
  return acquisitions.map((acquisition) => ({
    at: acquisition.window.from,
    async begin(context, delay) {
      const { instrument, rate, window, captures: own } = acquisition;
      const digitiser = instrumentOf(bench, instrument, 'digitiser');
      const voltage = digitiser.capabilities.stored
        ? null
        : supplyWire(acquisition, acquisitions, context);
      const inputs = [
        ...own.map((capture) => inputSetup(capture, context)),
        ...(voltage ? [{ input: voltage.input, expectedPeak: peakVolts(voltage) }] : []),
      ];
      mustSwitch(digitiser, inputs);
      // The record before has ended, but may not have been handed over yet.
      if (digitiser.capabilities.oneRecord) await last.get(instrument);
      const duration = lengthOf(acquisition, acquisitions, digitiser, bench);
      // Where time is virtual a record goes on as long as the lamp puts off what it was to show.
      const more = () => delay.leftUntil(window.to);
      const setup = { inputs, rate, duration, ...(bench.clock.kind === 'virtual' && { more }) };
      const { finished } = await armed(digitiser, setup, context);
      const stored = finished.then((raws) => {
        for (const capture of own) {
          const raw = scaled(rawOf(capture, raws), capture.wire, context.zero);
          if (bench.clock.kind === 'real' && !digitiser.capabilities.stored)
            mustBeSound(raw, capture.wire, bench.taken);
          const end = raw.start + Math.max(duration, raw.codes.length / raw.rate);
          collector.check((lateness) => mustCover(acquisition, end, lateness));
          context.light.startKnownTo(raw.standardStart ?? 0);
          collector.records.waveforms.push(rawRecord(capture, raw));
          const { file, signal, of } = capture;
          bench.pieces?.record(file, raw, { signal, of });
        }
        const evidence = voltage && raws.find(({ input }) => input === voltage.input);
        if (evidence) {
          const raw = scaled(evidence, voltage, context.zero);
          collector.records.alongside.push(rawRecord(besideOthers(voltage, own), raw));
        }
      });
      last.set(instrument, stored);
      collector.watch(stored);
    },
  }));
}

/** Arms a digitiser, and holds what it hands over against what was seen of it; resolves when sampling has begun. */
export async function armed(
  digitiser: Digitiser,
  setup: Parameters<Digitiser['arm']>[0],
  context: Pick<StimulusContext, 'bench' | 'rig' | 'signal'>,
): Promise<Pick<Armed, 'finished'>> {
  const { bench } = context;
  const { clock } = bench;
  const called = clock.now();
  const { finished } = await digitiser.arm(setup, callOn(context, digitiser.name));
  if (clock.kind === 'virtual' || digitiser.capabilities.stored) return { finished };
  const seen = { called, armed: clock.now(), duration: setup.duration };
  const borneOut = finished.then((raws) => {
    const whole = { ...seen, finished: clock.now() };
    return raws.map((raw) => {
      mustBeNew(raw, digitiser.name, bench);
      return boundedRecord(raw, digitiser.name, whole);
    });
  });
  // Awaited with everything else at the end of the pass.
  borneOut.catch(() => {});
  return { finished: borneOut };
}

/** Throws BenchError `stale` where the record is one of this run already. */
export function mustBeNew(raw: RawCapture, instrument: string, { taken }: OpenBench): void {
  if (!taken?.isRepeated(instrument, raw)) return;
  throw new BenchError(
    'stale',
    instrument,
    `the record of input ${raw.input} is the same, code by code, as an earlier one of this run, or as another input's; expected a new record of its own; see that the instrument is triggered and that its driver reads the record that it armed, input by input`,
  );
}

/** One arming of a digitiser: inputs of one instrument, one rate and one window sample together. */
interface Acquisition {
  readonly captures: readonly PlannedWaveform[];
  readonly instrument: string;
  readonly rate: number;
  readonly window: Window;
}

function acquisitionsOf(captures: readonly PlannedWaveform[]): Acquisition[] {
  const acquisitions = new Map<string, Acquisition>();
  for (const capture of captures) {
    const { wire, rate, during, window } = capture;
    const { instrument } = wire;
    const key = [instrument, rate, during ?? ''].join('|');
    const own = acquisitions.get(key)?.captures ?? [];
    acquisitions.set(key, { captures: [...own, capture], instrument, rate, window });
  }
  return [...acquisitions.values()];
}

/** What the record of a real digitiser lasts longer than planned, s: commands come late, and the record must not end before what they began. */
const margin = 0.25;

/** Seconds: as planned on a simulated bench, where commands are on time. */
function lengthOf(
  { instrument, rate, window: { from, to } }: Acquisition,
  acquisitions: readonly Acquisition[],
  { capabilities }: Digitiser,
  { clock }: OpenBench,
): number {
  const planned = to - from;
  if (clock.kind === 'virtual' || capabilities.stored) return planned;
  const next = acquisitions.some(
    ({ instrument: whose, window }) =>
      whose === instrument && window.from >= to && window.from < to + margin,
  );
  const most = capabilities.longestRecord / rate;
  return next ? planned : Math.max(planned, Math.min(planned + margin, most));
}

/** Less than this is missing of no window, s. */
const negligible = 1e-3;

/** A record must not end before what it was to show has. `end` on the condition's time line, s. */
function mustCover({ instrument, window }: Acquisition, end: number, lateness: LatenessAt): void {
  const late = lateness(window.to);
  const missing = window.to + late - end;
  if (late <= 0 || missing <= negligible) return;
  throw new BenchError(
    'timeout',
    instrument,
    `commands came up to ${late.toFixed(2)} s later than planned, so that the record ended ${missing.toFixed(2)} s before what it was to show; keep this computer less busy, or hold longer in the spec`,
  );
}

export function inputSetup(
  { wire, of, taken }: Pick<PlannedWaveform, 'wire' | 'of' | 'taken'>,
  context: Pick<StimulusContext, 'rig' | 'lamp'>,
): InputSetup {
  const switched = taken === 'multiplexed' && servesSeveral(wire, context);
  return { input: wire.input, expectedPeak: peakVolts(wire), ...(switched ? { of } : {}) };
}

/**
 * The voltage at the lamp is recorded along with whatever is recorded of the lamp, where it is wired to the same instrument: what the
 * light does under another voltage says nothing of the lamp, and a supply's own readings do not tell everything.
 */
function supplyWire(
  { instrument }: Acquisition,
  acquisitions: readonly Acquisition[],
  { rig, power }: StimulusContext,
): Wire | null {
  // Where time is virtual nobody watches the supply.
  if (!power) return null;
  const wire = rig.wiring.find(
    (one) => one.signal === 'supply-voltage' && one.instrument === instrument,
  );
  const asked = (one: Acquisition): boolean =>
    one.captures.some(
      ({ wire: own }) => own.input === wire?.input && own.instrument === instrument,
    );
  // An input that serves several in turn, or is recorded for the claim as well, is not taken twice.
  return wire && !acquisitions.some(asked) ? wire : null;
}

/** Under the names of the first record that it was taken beside. */
function besideOthers(wire: Wire, [first]: readonly PlannedWaveform[]): RecordIdentity {
  const id = `${wire.signal}-beside-${first?.id}`;
  const file = (first?.file ?? '').replace(first?.id ?? '', id);
  return { id, file, signal: wire.signal, of: wire.signal, wire, taken: 'alongside' };
}

/** What the wire's full scale is at the terminals, V. */
function peakVolts({ fullScale, scale, offset }: Wire): number {
  return Math.abs(fullScale / scale) + Math.abs(offset);
}

/** More than one channel is wired to this input. */
function servesSeveral(wire: Wire, { rig, lamp }: Pick<StimulusContext, 'rig' | 'lamp'>): boolean {
  const own = rig.wiring.filter(({ signal }) => signal === wire.signal);
  const each = own.filter(({ of }) => of === 'each');
  if (wire.of === 'each') return each.length < lamp.channels.length;
  const { instrument, input } = wire;
  return own.filter((one) => one.instrument === instrument && one.input === input).length > 1;
}

/** A record of the wrong channel would look like a sound one. */
function mustSwitch({ name, capabilities }: Digitiser, inputs: readonly InputSetup[]): void {
  const switched = inputs.find(({ of }) => of !== undefined);
  if (!switched || capabilities.switches) return;
  throw new BenchError(
    'unsupported',
    name,
    `input ${switched.input} would have to serve ${switched.of} and other channels in turn, but ${name} cannot switch its inputs; wire one to each channel`,
  );
}

function rawOf({ wire }: PlannedWaveform, raws: readonly RawCapture[]): RawCapture {
  const raw = raws.find(({ input }) => input === wire.input);
  if (raw) return raw;
  throw new BenchError(
    'garbled',
    wire.instrument,
    `${wire.instrument} was armed on input ${wire.input} but returned ${raws.map(({ input }) => input).join(', ')}`,
  );
}

/** From volts at the terminals to the wire's unit, and to the condition's own time line. */
export function scaled(raw: RawCapture, wire: Wire, zero: number): RawCapture {
  return {
    ...raw,
    scale: raw.scale * wire.scale,
    offset: (raw.offset - wire.offset) * wire.scale,
    unit: wire.unit,
    start: raw.start - zero,
  };
}
