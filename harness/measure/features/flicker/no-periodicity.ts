import { duration } from '../../analysis/waveform-part.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import type { Waveform } from '../../waveform.ts';

/** Periods that a record must hold for a line to be told from drift. */
const periods = 5;

/** No line in the spectrum: the lowest frequency that the record would have shown stands beside the refusal. */
export function noPeriodicity(waveform: Waveform): NotMeasurable {
  return notMeasurable('no-periodicity', {
    found: duration(waveform),
    unit: 's',
    note: `shows periodic light from ${Number((periods / duration(waveform)).toPrecision(2))} Hz on`,
  });
}
