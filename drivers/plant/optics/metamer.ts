import type { SpectralPower } from '../../../harness/measure/colorimetry/spectral-power.ts';
import { spectrumTristimulus } from '../../../harness/measure/colorimetry/spectrum-tristimulus.ts';

type Vector = readonly [number, number, number];

const nanometre = 1e-9;
/** Bands of LEDs: full width at half maximum and spacing, nm. Invented. */
const width = 20;
const peaks = Array.from({ length: 29 }, (_, index) => 410 + 10 * index);

/** The spectrum of the simulated lamp starts here, with this step; m. */
const grid = { from: 360 * nanometre, step: 1 * nanometre, count: 471 };

const bands = peaks.map((peak) => band(peak));
const primaries: readonly Vector[] = bands.map((values) => {
  const { X, Y, Z } = spectrumTristimulus({ ...grid, values });
  return [X, Y, Z];
});

/**
 * A spectrum with this colour and light (Y in lx): three bands such as LEDs have, in which the weakest is as strong as it can be.
 * The simulated lamp knows its colour and not its spectrum; any spectrum with that colour does. Null where there is none.
 */
export function metamerOf(X: number, Y: number, Z: number): SpectralPower | null {
  const sum = X + Y + Z;
  if (!(sum > 0)) return null;
  let best: { readonly weights: Vector; readonly at: Vector; readonly least: number } | null = null;
  for (let a = 0; a < peaks.length; a++)
    for (let b = a + 1; b < peaks.length; b++)
      for (let c = b + 1; c < peaks.length; c++) {
        const weights = solved([a, b, c], [X, Y, Z]);
        const least = weights ? Math.min(...weights) : -1;
        if (weights && least >= 0 && least > (best?.least ?? -1))
          best = { weights, at: [a, b, c], least };
      }
  return best ? mixed(best.at, best.weights) : null;
}

function band(peak: number): Float64Array {
  const sigma = width / (2 * Math.sqrt(2 * Math.log(2)));
  return Float64Array.from({ length: grid.count }, (_, index) => {
    const nm = grid.from / nanometre + index;
    return Math.exp(-0.5 * ((nm - peak) / sigma) ** 2);
  });
}

function mixed(at: Vector, weights: Vector): SpectralPower {
  const values = new Float64Array(grid.count);
  for (const [place, index] of at.entries()) {
    const own = bands[index] ?? values;
    const weight = weights[place] ?? 0;
    for (let k = 0; k < values.length; k++) values[k] = (values[k] ?? 0) + weight * (own[k] ?? 0);
  }
  return { from: grid.from, step: grid.step, values };
}

/** Cramer's rule. */
function solved(at: Vector, wanted: Vector): Vector | null {
  const [one, two, three] = at.map((index) => primaries[index]);
  if (!one || !two || !three) return null;
  const all = determinant(one, two, three);
  if (Math.abs(all) < 1e-30) return null;
  return [
    determinant(wanted, two, three) / all,
    determinant(one, wanted, three) / all,
    determinant(one, two, wanted) / all,
  ];
}

function determinant(a: Vector, b: Vector, c: Vector): number {
  return (
    a[0] * (b[1] * c[2] - b[2] * c[1]) -
    b[0] * (a[1] * c[2] - a[2] * c[1]) +
    c[0] * (a[1] * b[2] - a[2] * b[1])
  );
}
