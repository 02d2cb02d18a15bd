import { BenchError } from '../../bench/errors.ts';
import type { Digitiser, RawCapture } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import type { PlannedCapture } from '../../plan/captures/planned-capture.ts';
import { callOn, type StimulusContext } from '../condition/stimulus.ts';
import { figure } from '../figure.ts';
import { lampPower } from '../power/lamp-power.ts';
import { instrumentOf } from './instrument-of.ts';
import { inputSetup, mustBeNew, scaled } from './waveform-starts.ts';

type Context = Pick<StimulusContext, 'bench' | 'rig' | 'lamp' | 'signal'>;

/** Length of a look, s: periods of twice the mains frequency, and whole ones of 50 Hz. */
const length = 0.06;
/** S/s */
const usualRate = 10_000;
/** More samples than that, chance says how many: an old record is not of that length. */
const nonce = 64;
/** What glows out, or discharges, falls by this part from look to look, this far apart, s; it is given so many looks. */
const fading = 0.05;
const apart = 0.7;
const looks = 20;
/** A zero is blamed beyond so many standard uncertainties. */
const certainty = 6;
/** Noise is blamed where it is so many times what was recorded of the dark input … */
const noisier = 3;
/** … or, where nobody has recorded that, so many times what is stated, and more than this part of full scale. */
const muchNoisier = 10;
const leastNoise = 1e-3;
/** Without power the voltage may stand in a capacitor, or at a mains plug; a pin rests where it likes. */
const heldUp = ['supply-voltage', 'mains-voltage', 'mains-current'];
const pins = ['sync', 'busy'];

/**
 * Looks through every input that a pass uses at a lamp without power, before each condition: it has to read nothing, within its zero,
 * and no more noise than is stated. Other light, a shifted input, pickup and codes in the wrong order show here, and not as light of the
 * lamp. Throws BenchError `garbled` with the input. Nothing where the lamp keeps its power, or time is virtual.
 */
export async function lookAtDarkInputs(
  captures: readonly PlannedCapture[],
  context: Context,
): Promise<void> {
  const { bench, rig } = context;
  if (!bench.taken || bench.clock.kind === 'virtual' || !lampPower(bench, rig)) return;
  const names = new Set(
    captures.filter(({ kind }) => kind === 'waveform').map(({ wire }) => wire.instrument),
  );
  for (const name of names) {
    const digitiser = instrumentOf(bench, name, 'digitiser');
    const wires = wiresOf(name, captures, context);
    if (!digitiser.capabilities.stored && wires.length > 0)
      await lookUntilDark(digitiser, wires, context);
  }
}

/** Those of the pass that read nothing of a lamp without power, each once, and the voltage at the lamp that is recorded beside them. */
function wiresOf(
  instrument: string,
  captures: readonly PlannedCapture[],
  { rig }: Context,
): readonly Wire[] {
  const used = captures.filter(({ kind }) => kind === 'waveform').map(({ wire }) => wire);
  const beside = rig.wiring.filter(({ signal }) => signal === 'supply-voltage');
  const own = [...used, ...beside].filter(
    (wire) => wire.instrument === instrument && !pins.includes(wire.signal),
  );
  return [...new Map(own.map((wire) => [wire.input, wire])).values()];
}

async function lookUntilDark(
  digitiser: Digitiser,
  wires: readonly Wire[],
  context: Context,
): Promise<void> {
  const { clock } = context.bench;
  let before = Number.POSITIVE_INFINITY;
  for (let look = 1; ; look++) {
    const doubts = (await recordsOf(digitiser, wires, context)).flatMap(
      (one) => doubtOf(one) ?? [],
    );
    const [first] = doubts;
    if (!first) return;
    const most = Math.max(...doubts.map(({ times }) => times));
    if (look === looks || !Number.isFinite(most) || most > (1 - fading) * before) throw first.error;
    before = most;
    await clock.waitUntil(clock.now() + apart, context.signal);
  }
}

interface DarkRecord {
  readonly wire: Wire;
  readonly raw: RawCapture;
}

async function recordsOf(
  digitiser: Digitiser,
  wires: readonly Wire[],
  context: Context,
): Promise<readonly DarkRecord[]> {
  const rate = Math.min(usualRate, digitiser.capabilities.highestRate);
  const samples = Math.round(length * rate) + Math.floor(Math.random() * nonce);
  const inputs = wires.map((wire) => inputSetup({ wire, of: wire.of, taken: 'at-once' }, context));
  const call = callOn(context, digitiser.name);
  const { finished } = await digitiser.arm({ inputs, rate, duration: samples / rate }, call);
  const raws = await finished;
  for (const raw of raws) mustBeNew(raw, digitiser.name, context.bench);
  return wires.flatMap((wire) => {
    const raw = raws.find(({ input }) => input === wire.input);
    return raw ? [{ wire, raw: scaled(raw, wire, 0) }] : [];
  });
}

interface Doubt {
  /** How many times what is allowed. */
  readonly times: number;
  readonly error: BenchError;
}

function doubtOf({ wire, raw }: DarkRecord): Doubt | null {
  const { mean, rms, clipped } = statisticsOf(raw);
  const { unit, instrument, standardOffset, noise, signal } = wire;
  const step = Math.abs(raw.scale);
  const zero = certainty * Math.hypot(standardOffset, noise / 10, step / 2);
  const told = `input ${raw.input} reads`;
  if (clipped)
    return {
      times: Number.POSITIVE_INFINITY,
      error: new BenchError(
        'overload',
        instrument,
        `${told} the end of its range of a lamp without power; expected 0. See its range, its cable and what else reaches it`,
      ),
    };
  const off = heldUp.includes(signal) ? Math.max(0, -mean) : Math.abs(mean);
  if (off > zero)
    return {
      times: off / zero,
      error: garbled(
        instrument,
        `${told} a mean of ${figure(mean)} ${unit} of a lamp without power; expected 0 within ${figure(zero)} ${unit}, as its wire states its zero. Other light reaches it, its zero has moved, or the lamp still has power: cover the sensor, look at cable, supply and relay, and record \`rig calibrate dark\` anew`,
      ),
    };
  const expected = Math.hypot(noise, wire.dark?.noise ?? 0, step / Math.sqrt(12), linesOf(wire));
  const most = wire.dark
    ? noisier * expected
    : Math.max(muchNoisier * expected, leastNoise * wire.fullScale);
  if (!(noise > 0) || heldUp.includes(signal) || rms <= most) return null;
  return {
    times: rms / most,
    error: garbled(
      instrument,
      `${told} ${figure(rms)} ${unit} rms about its mean of a lamp without power; expected ${figure(expected)} ${unit}, as its wire states noise and pickup. Hum, other light or a disturbed line reaches it, or its codes are read wrongly: look at cable, shield and ground, at the order of bytes, and record \`rig calibrate dark\` anew`,
    ),
  };
}

function garbled(instrument: string, words: string): BenchError {
  return new BenchError('garbled', instrument, words);
}

/** rms of all lines together. */
function linesOf({ dark }: Wire): number {
  return Math.hypot(...(dark?.lines ?? []).map(({ amplitude }) => amplitude / Math.SQRT2));
}

function statisticsOf({ codes, scale, offset, lowest, highest }: RawCapture): {
  readonly mean: number;
  readonly rms: number;
  readonly clipped: boolean;
} {
  let [sum, squares, clipped] = [0, 0, false];
  for (let k = 0; k < codes.length; k++) {
    const code = codes[k] ?? 0;
    sum += code;
    if (code <= lowest || code >= highest) clipped = true;
  }
  const middle = sum / Math.max(1, codes.length);
  for (let k = 0; k < codes.length; k++) squares += ((codes[k] ?? 0) - middle) ** 2;
  const rms = Math.sqrt(squares / Math.max(1, codes.length)) * Math.abs(scale);
  return { mean: middle * scale + offset, rms, clipped };
}
