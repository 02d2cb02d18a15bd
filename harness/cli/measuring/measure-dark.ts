import { darkFiguresOf, fewestDark } from '../../measure/analysis/dark-figures.ts';
import type { Waveform } from '../../measure/waveform.ts';
import type { StatedCalibration } from './measure-calibration.ts';
import type { MeasuredColumn } from './measure-columns.ts';
import { usage } from './measure-options.ts';

/** Rates that differ by less are one: white noise of a sample goes with the root of the rate. */
const sameRate = 0.01;

/**
 * What `--dark` says of each column: a record of the same input with everything dark. Its mean is the zero and is taken off,
 * its noise, hum and drift are known to be the wiring's. What `--calibration` states outweighs it.
 */
export function withDark(
  subjects: readonly MeasuredColumn[],
  dark: readonly MeasuredColumn[],
  stated: StatedCalibration,
): { readonly subjects: readonly MeasuredColumn[]; readonly calibration: StatedCalibration } {
  const figures = new Map(
    subjects.map((subject) => {
      const { waveform } = darkOf(subject, dark, subjects.length === 1);
      return [subject.of, { ...darkFiguresOf(waveform), length: lengthOf(waveform) }] as const;
    }),
  );
  const zeroed = subjects.map((subject) => {
    const zero = figures.get(subject.of)?.mean ?? 0;
    return { ...subject, waveform: shifted(subject.waveform, -zero) };
  });
  const calibration: StatedCalibration = (record) => {
    const own = figures.get(record.capture);
    if (!own) return stated(record);
    const { standardMean, noise, slow, lines, drift, length } = own;
    return {
      standardOffset: standardMean,
      noise,
      dark: { slow, lines, drift: Math.abs(drift) / length },
      ...stated(record),
    };
  };
  return { subjects: zeroed, calibration };
}

function darkOf(
  { of, waveform }: MeasuredColumn,
  dark: readonly MeasuredColumn[],
  alone: boolean,
): MeasuredColumn {
  const found = dark.find((each) => each.of === of) ?? (alone && dark.length === 1 && dark[0]);
  if (!found)
    throw usage(
      `--dark: expected a column "${of}" as in the file, found ${dark.map((each) => each.of).join(', ')}`,
    );
  const { rate, unit, samples } = found.waveform;
  if (Math.abs(rate / waveform.rate - 1) > sameRate)
    throw usage(
      `--dark: expected the file's rate of ${waveform.rate} S/s, found ${rate} S/s; record the dark with the same settings`,
    );
  if (unit !== waveform.unit)
    throw usage(`--dark: expected the file's unit ${waveform.unit}, found ${unit}`);
  if (samples.length < fewestDark)
    throw usage(
      `--dark: expected at least ${fewestDark} samples, found ${samples.length}; record some seconds`,
    );
  return found;
}

function lengthOf({ samples, rate }: Waveform): number {
  return samples.length / rate;
}

function shifted(waveform: Waveform, by: number): Waveform {
  const { samples, range } = waveform;
  return {
    ...waveform,
    samples: Float64Array.from(samples, (value) => value + by),
    ...(range && { range: { low: range.low + by, high: range.high + by } }),
  };
}
