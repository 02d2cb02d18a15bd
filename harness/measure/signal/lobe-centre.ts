import type { PowerSpectrum } from './power-spectrum.ts';
import { valueAt } from './samples.ts';
import { lobeAt } from './window-function.ts';

/** A lone tone lies at most half a bin beside its highest one; the rest is left for noise. */
const farthest = 0.75;
/** Halvings of the place: to a part in 2^40 of a bin. */
const halvings = 40;

/**
 * Frequency of a steady tone from the highest bin of its lobe and `half` bins on either side: where a lone tone would have to lie
 * for their centre of power to be what it is. A weak tone beside it, whose lobe touches this one, moves the centre the farther
 * the more bins count, since each counts by its distance [computed: of a tenth of the amplitude, 4 bins apart, three bins are
 * moved by 0.002, the whole lobe by 0.03].
 *
 * @param near Hz, within a bin of the lobe's top
 */
export function lobeCentre(spectrum: PowerSpectrum, near: number, half: number): number {
  const { power, step, window } = spectrum;
  const middle = Math.round(near / step);
  let top = middle;
  for (const k of [middle - 1, middle + 1]) if (valueAt(power, k) > valueAt(power, top)) top = k;
  const seen = centre(half, (apart) => valueAt(power, top + apart));
  let [low, high] = [-farthest, farthest];
  for (let turn = 0; turn < halvings; turn++) {
    const place = (low + high) / 2;
    if (centre(half, (apart) => lobeAt(window, apart - place) ** 2) < seen) low = place;
    else high = place;
  }
  return (top + (low + high) / 2) * step;
}

function centre(half: number, powerAt: (apart: number) => number): number {
  let [sum, moment] = [0, 0];
  for (let apart = -half; apart <= half; apart++) {
    const power = powerAt(apart);
    sum += power;
    moment += power * apart;
  }
  return moment / sum;
}
