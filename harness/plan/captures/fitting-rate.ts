import type { Lamp } from '../../bench/lamp.ts';
import type { RigInstrument } from '../../bench/rig.ts';
import type { WaveformSignal } from '../../measure/signals.ts';

/** Samples a period from which the pulses are seen one by one, wherever they lie between the samples. */
const resolved = 8;
/** With two samples a period the pulses stand at the very end of the band, where nothing is told from anything. */
const fewest = 3;
const rounding = 1e-9;
/** What the modulator puts its pulses into. */
const pulsed: readonly WaveformSignal[] = ['light', 'channel-current'];

/**
 * The rate (Hz) at which a record is taken: the one that is asked for or, of a lamp with pulse-width modulation on a digitiser that
 * averages over its samples, the next higher one of which samples and periods keep step. Whole periods in each sample leave nothing of the
 * pulses, and a whole number of samples in each period folds nothing but into the pulses' own tones. At any other rate they beat with
 * the samples. `seconds` is the length of the record.
 */
export function fittingRate(
  asked: number,
  signal: WaveformSignal,
  { modulation }: Pick<Lamp, 'modulation'>,
  limits: RigInstrument['limits'] | undefined,
  seconds: number,
): number {
  const { highestRate = Number.POSITIVE_INFINITY, memory = Number.POSITIVE_INFINITY } =
    limits ?? {};
  if (limits?.acquisition !== 'integrating' || modulation.kind !== 'pwm') return asked;
  const { frequency } = modulation;
  if (!pulsed.includes(signal) || asked > resolved * frequency) return asked;
  const rate =
    asked <= frequency
      ? frequency / Math.floor(frequency / asked + rounding)
      : frequency * Math.max(fewest, Math.ceil(asked / frequency - rounding));
  return rate <= highestRate && rate * seconds <= memory ? rate : asked;
}
