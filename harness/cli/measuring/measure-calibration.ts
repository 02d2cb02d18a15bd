import { didYouMean } from '../../files/did-you-mean.ts';
import type { SignalRecord } from '../../measure/observation.ts';
import { parseQuantity } from '../../units/parse-quantity.ts';
import { findUnit } from '../../units/unit-table.ts';
import type { InputCalibration } from '../../verdict/uncertainty.ts';
import { pairsOption, quantityOption, usage } from './measure-options.ts';

/** The calibration of one record of the file. */
export type StatedCalibration = (record: SignalRecord) => InputCalibration;

const known = ['scale', 'offset', 'noise', 'time-base'] as const;

/**
 * `--calibration scale=1%` and its like: standard uncertainties, k = 1, the same for every column. Columns of one file
 * share a clock; their scales err on their own.
 */
export function calibrationOption(texts: readonly string[] = []): StatedCalibration {
  const pairs = pairsOption('calibration', texts);
  for (const name of pairs.keys())
    if (!known.some((each) => each === name))
      throw usage(
        `--calibration: expected ${known.join(', ')}, found "${name}"${didYouMean(name, known)}`,
      );
  const relative = (name: 'scale' | 'time-base') =>
    positive(name, quantityOption(`calibration ${name}`, pairs.get(name) ?? '0', 'ratio'));
  const [standardScale, timeBase] = [relative('scale'), relative('time-base')];
  return ({ capture, signal, of, waveform }) => ({
    capture,
    signal,
    of,
    standardScale,
    ...stated('standardOffset', inUnitOf('offset', pairs.get('offset'), waveform.unit)),
    ...stated('noise', inUnitOf('noise', pairs.get('noise'), waveform.unit)),
    timeBase,
    step: waveform.step ?? 0,
    sharedTimeBase: 'the file',
  });
}

/** What is not said stays unsaid: 0 would be a statement. */
function stated<K extends string>(name: K, value: number | undefined): Partial<Record<K, number>> {
  return value === undefined ? {} : ({ [name]: value } as Record<K, number>);
}

function inUnitOf(name: string, text: string | undefined, unit: string): number | undefined {
  if (text === undefined) return undefined;
  const dimension = findUnit(unit)?.dimension;
  if (dimension) return positive(name, quantityOption(`calibration ${name}`, text, dimension));
  const parsed = parseQuantity(text);
  if (!parsed.ok || parsed.quantity.dimension !== 'number')
    throw usage(
      `--calibration ${name}: the record has no unit (give it with --unit), so a bare number is expected, found "${text}"`,
    );
  return positive(name, parsed.quantity.value);
}

function positive(name: string, value: number): number {
  if (value >= 0) return value;
  throw usage(
    `--calibration ${name}: expected a standard uncertainty of 0 or more, found ${value}`,
  );
}
