import { type Samples, sampleAt } from './samples.ts';

/** Of more distinct values the spacing says little, and costs time to find. */
const most = 64;
/** Fewer may be the levels of a clean switch. */
const fewest = 4;
/** Samples without which few values are no surprise. */
const enough = 1000;
/** Part of the codes between the lowest and the highest value that has to be there. */
const filled = 0.6;
/** Spacings may differ by rounding of the numbers themselves, relative to the largest value. */
const rounding = 1e-9;

/**
 * The step of a converter that a record without codes shows by its values: few, evenly spaced, nearly every one there is
 * between the ends. 0 where they do not say so.
 */
export function apparentStep(samples: Samples): number {
  const values = distinct(samples);
  const [lowest, highest] = [values[0], values.at(-1)];
  if (values.length < fewest || lowest === undefined || highest === undefined) return 0;
  const spacings = values.slice(1).map((value, k) => value - (values[k] ?? value));
  const step = Math.min(...spacings);
  const slack = rounding * Math.max(Math.abs(lowest), Math.abs(highest)) + 1e-6 * step;
  const onGrid = spacings.every((each) => Math.abs(each - step * Math.round(each / step)) <= slack);
  const codes = Math.round((highest - lowest) / step) + 1;
  return onGrid && values.length >= filled * codes ? step : 0;
}

/** The distinct values in order; none where there are too many, or too few samples. */
function distinct(samples: Samples): readonly number[] {
  if (samples.length < enough) return [];
  const seen = new Set<number>();
  for (let k = 0; k < samples.length; k++) {
    seen.add(sampleAt(samples, k));
    if (seen.size > most) return [];
  }
  return [...seen].sort((a, b) => a - b);
}
