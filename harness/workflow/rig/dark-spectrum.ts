import type { Wire } from '../../bench/rig.ts';
import { darkFiguresOf } from '../../measure/analysis/dark-figures.ts';
import type { Waveform } from '../../measure/waveform.ts';
import type { DarkText } from './change-calibration.ts';
import { figureText } from './figure-text.ts';

/**
 * What a record of the dark wiring holds beside its zero, for the rig file.
 *
 * @param record in the unit of the wire, with everything off
 */
export function darkSpectrum(record: Waveform, { unit }: Wire, date: string): DarkText {
  const { rate, samples } = record;
  const { noise, slow, drift, lines } = darkFiguresOf(record);
  const inUnit = (value: number): string => `${figureText(value)} ${unit}`;
  return {
    date,
    length: `${figureText(samples.length / rate)} s`,
    rate: `${figureText(rate)} S/s`,
    noise: inUnit(noise),
    ...(slow > 0 &&
      noise > 0 && { corner: `${figureText((slow * rate) / (2 * noise * noise))} Hz` }),
    ...(drift !== 0 && { drift: inUnit(drift) }),
    ...(lines.length > 0 && {
      lines: lines.map(({ frequency, amplitude }) => ({
        frequency: `${figureText(frequency)} Hz`,
        amplitude: inUnit(amplitude),
      })),
    }),
  };
}
