import type { Analysis } from '../../analysis/analysis.ts';
import { indexAt, valueAt } from '../../signal/samples.ts';
import { noiseRatio } from '../../signal/spectral-lines.ts';
import { mainLobe } from '../../signal/window-function.ts';

/** One-sided 95 % of the normal distribution. */
const quantile = 1.645;
/**
 * Part of a tone's power in its highest bin, Blackman-Harris window: 0.499 on a bin, 0.412 between two (computed from the
 * window's coefficients); the middle.
 */
const peakShare = 0.455;

/**
 * The largest share of its limit that a component may have without standing out as a line: 95 % upper bound of the
 * amplitude in every bin without a line, over the limit at its frequency; the worst of the band.
 *
 * A tone of amplitude A in noise of power L per bin gives a bin p = c A^2 + L, whose scatter over s averaged segments is
 * sqrt((L^2 + 2 L c A^2) / s) (non-central chi-square, textbook). The bound is the A whose p lies 1.645 of these above what
 * was found.
 *
 * @param band Hz; bins that only drift fills (the main lobe around zero) are left out
 * @param limit amplitude in the record's unit at a frequency
 */
export function largestHidden(
  { spectrum, floor }: Pick<Analysis, 'spectrum' | 'floor'>,
  band: { readonly from: number; readonly to: number },
  limit: (frequency: number) => number,
): number {
  const { power, step, segments, window } = spectrum;
  const line = noiseRatio(segments);
  const first = Math.max(mainLobe[window] + 1, Math.ceil(band.from / step));
  const last = Math.min(power.length - 1, Math.floor(band.to / step));
  const squared = quantile ** 2 / segments;
  let worst = 0;
  for (let k = first, block = 0; k <= last; k++) {
    while (k >= indexAt(floor.ends, block)) block++;
    const level = valueAt(floor.levels, block);
    if (valueAt(power, k) > line * level) continue;
    const above = Math.max(0, valueAt(power, k) - level);
    const w = squared * level;
    const tone = above + w + Math.sqrt(w * (2 * above + w + level));
    const share = Math.sqrt(tone / peakShare) / limit(k * step);
    if (share > worst) worst = share;
  }
  return worst;
}
