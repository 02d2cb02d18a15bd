import type { Wire } from '../../bench/rig.ts';
import { analysisOf } from '../../measure/analysis/analysis.ts';
import { driftAlong } from '../../measure/signal/drift-along.ts';
import { slowNoisePower } from '../../measure/signal/slow-noise-power.ts';
import type { Waveform } from '../../measure/waveform.ts';
import type { DarkText } from './change-calibration.ts';
import { figureText } from './figure-text.ts';

/** Lines that a rig file lists: the strongest ones. */
const mostLines = 16;
/** A drift of so many standard uncertainties is one. */
const significant = 2;

/**
 * What a record of the dark wiring holds beside its zero, for the rig file.
 *
 * @param record in the unit of the wire, with everything off
 */
export function darkSpectrum(record: Waveform, { unit }: Wire, date: string): DarkText {
  const { rate, samples, step = 0 } = record;
  const { noise: seen, spectrum, lines } = analysisOf(record);
  // Within a step of the converter anything may hide.
  const noise = Math.max(seen, step / Math.sqrt(12));
  const slow = slowNoisePower(spectrum, lines, noise);
  const { drift, standard } = driftAlong(samples);
  const inUnit = (value: number): string => `${figureText(value)} ${unit}`;
  const listed = lines
    .toSorted((a, b) => b.amplitude - a.amplitude)
    .slice(0, mostLines)
    .toSorted((a, b) => a.frequency - b.frequency);
  return {
    date,
    length: `${figureText(samples.length / rate)} s`,
    rate: `${figureText(rate)} S/s`,
    noise: inUnit(noise),
    ...(slow > 0 &&
      noise > 0 && { corner: `${figureText((slow * rate) / (2 * noise * noise))} Hz` }),
    ...(Math.abs(drift) > significant * standard && { drift: inUnit(drift) }),
    ...(listed.length > 0 && {
      lines: listed.map(({ frequency, amplitude }) => ({
        frequency: `${figureText(frequency)} Hz`,
        amplitude: inUnit(amplitude),
      })),
    }),
  };
}
