import type { DarkLook, Digitiser, InputSetup, RawCapture } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import { signals } from '../../measure/signals.ts';
import type { PlannedCapture, PlannedWaveform } from '../../plan/captures/planned-capture.ts';
import { callOn, type StimulusContext } from '../condition/stimulus.ts';
import { instrumentOf } from './instrument-of.ts';
import { litBlocks } from './lit-blocks.ts';
import { inputSetup, mustBeNew } from './waveform-starts.ts';

type Context = Pick<StimulusContext, 'bench' | 'rig' | 'lamp' | 'signal'>;

/** Length of a look, s, and its fewest samples. */
const length = 0.05;
const fewest = 40;
/** More samples than that, chance says how many: an old record is not of that length. */
const nonce = 64;
/** A lamp without power reads less than this part of full scale, when it has glowed out … */
const dark = 0.01;
/** … which takes so many looks, this far apart, s. */
const looks = 4;
const apart = 0.7;

/**
 * Looks through each digitiser of a pass at a lamp without power, once in a run: a record that was in its memory before the run is
 * handed over then, if ever, and what it reads later of the lit lamp must be something else. Nothing where the records
 * are proved to be new by the digitiser itself, or time is virtual.
 */
export async function lookInTheDark(
  captures: readonly PlannedCapture[],
  context: Context,
): Promise<void> {
  const { bench } = context;
  const { taken, clock } = bench;
  if (!taken || clock.kind === 'virtual') return;
  for (const capture of lightRecords(captures)) {
    const { instrument } = capture.wire;
    const digitiser = instrumentOf(bench, instrument, 'digitiser');
    const { stored, provesFresh } = digitiser.capabilities;
    if (stored || provesFresh || taken.darkOf(instrument)) continue;
    taken.noteDark(instrument, await lookUntilDark(digitiser, capture, context));
  }
}

/** One record of each instrument that follows the light, the light itself before all. */
function lightRecords(captures: readonly PlannedCapture[]): readonly PlannedWaveform[] {
  const usable = captures
    .filter((capture) => capture.kind === 'waveform')
    .filter(({ signal }) => signals[signal].perChannel);
  const chosen = new Map<string, PlannedWaveform>();
  for (const capture of usable) {
    const { instrument } = capture.wire;
    if (!chosen.has(instrument) || capture.signal === 'light') chosen.set(instrument, capture);
  }
  return [...chosen.values()];
}

async function lookUntilDark(
  digitiser: Digitiser,
  capture: PlannedWaveform,
  context: Context,
): Promise<DarkLook> {
  const { clock } = context.bench;
  const { wire } = capture;
  for (let look = 1; ; look++) {
    const raw = await record(digitiser, inputSetup(capture, context), capture.rate, context);
    const found = lookOf(raw, wire);
    if (look === looks || found.most <= dark * wire.fullScale) return found;
    await clock.waitUntil(clock.now() + apart, context.signal);
  }
}

async function record(
  digitiser: Digitiser,
  input: InputSetup,
  rate: number,
  context: Context,
): Promise<RawCapture> {
  const least = Math.max(fewest, Math.round(length * rate));
  const samples = least + Math.floor(Math.random() * nonce);
  const setup = { inputs: [input], rate, duration: samples / rate };
  const { finished } = await digitiser.arm(setup, callOn(context, digitiser.name));
  const raw = (await finished).find((one) => one.input === input.input);
  if (!raw) throw new Error(`${digitiser.name} returned no record of input ${input.input}`);
  mustBeNew(raw, digitiser.name, context.bench);
  return raw;
}

function lookOf(raw: RawCapture, wire: Wire): DarkLook {
  const { most, mean, scatter } = litBlocks(raw, wire);
  return { input: raw.input, most, mean, scatter, lit: most > dark * wire.fullScale };
}
