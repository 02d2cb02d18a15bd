import type { PowerSpectrum } from './power-spectrum.ts';
import { quickselect } from './quickselect.ts';
import type { SpectralLine } from './spectral-lines.ts';
import { mainLobe } from './window-function.ts';

/** What a group of neighbouring bins says of the noise that falls with frequency. */
interface Group {
  /** Hz. */
  readonly frequency: number;
  /** Power per bin by the median, which lines in less than half of the bins leave alone. */
  readonly level: number;
  /** Independent figures behind it. */
  readonly weight: number;
}

/** The median of the power of one bin of noise (chi-square of two degrees of freedom) is ln 2 of its mean. */
const medianOfPower = Math.LN2;
/** Slow noise that is not so many standard deviations above nothing is called none. */
const significant = 2;
const rounds = 4;

/**
 * Power (unit²) of noise of which the density falls as power / f, from what stands above white noise of rms `white` in the
 * bins of a spectrum that are no line's; 0 where nothing significant does. Groups of bins an octave wide, weighted by how well each tells it.
 * Source: weighted least squares, textbook; checked on simulated noise.
 */
export function slowNoisePower(
  spectrum: PowerSpectrum,
  lines: readonly SpectralLine[],
  white: number,
): number {
  const { step, length } = spectrum;
  const level = (4 * white * white) / length;
  const groups = groupsOf(spectrum, binsOfLines(spectrum, lines));
  // Nowhere is there less than it makes: what gathers at higher frequencies is the lamp's own.
  const most = Math.min(
    ...groups.map(
      ({ frequency, level: found, weight }) =>
        (found * (1 + significant / Math.sqrt(weight)) * frequency) / (2 * step),
    ),
  );
  let slow = 0;
  let standard = 0;
  for (let round = 0; round < rounds; round++) {
    let sum = 0;
    let weights = 0;
    for (const { frequency, level: found, weight } of groups) {
      // A density S fills a bin with 2 S step.
      const share = (2 * step) / frequency;
      const expected = level + share * slow;
      const own = (weight * share * share) / (expected * expected || 1);
      sum += (own * (found - level)) / share;
      weights += own;
    }
    slow = Math.min(most, Math.max(0, weights > 0 ? sum / weights : 0));
    standard = weights > 0 ? 1 / Math.sqrt(weights) : 0;
  }
  return slow > significant * standard ? slow : 0;
}

/** Bins that a line reaches. */
function binsOfLines(
  { power, step, window }: PowerSpectrum,
  lines: readonly SpectralLine[],
): Uint8Array {
  const reached = new Uint8Array(power.length);
  const half = mainLobe[window] + 1;
  for (const { frequency } of lines) {
    const at = Math.round(frequency / step);
    reached.fill(1, Math.max(0, at - half), at + half + 1);
  }
  return reached;
}

/** Bins that a group needs: fewer say too little of a median. */
const fewest = 3;

function groupsOf(
  { power, step, segments, window }: PowerSpectrum,
  reached: Uint8Array,
): readonly Group[] {
  const groups: Group[] = [];
  const median = segments > 1 ? 1 - 1 / (3 * segments) : medianOfPower;
  // The slope that was taken off leaves nothing of the lowest bins.
  for (let first = 3; first < power.length / 8; first *= 2) {
    const bins = power.subarray(first, 2 * first).filter((_, k) => reached[first + k] === 0);
    if (bins.length < fewest) continue;
    groups.push({
      frequency: first * Math.SQRT2 * step,
      level: quickselect(bins, bins.length >> 1) / median,
      // Neighbours within the window's lobe are alike.
      weight: Math.max(1, bins.length / mainLobe[window]) * segments,
    });
  }
  return groups;
}
