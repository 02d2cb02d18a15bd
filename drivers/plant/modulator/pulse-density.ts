/**
 * First-order pulse density: each clock the accumulator (modulo `full`, a power of two) takes `density` (0..full) more;
 * a carry makes the clock one. Ones in the first n clocks of a run that starts with the accumulator at `phase`
 * (0..full-1): floor((phase + n * density) / full). Figures are passed one by one: these loops run per sample.
 */

/** On-time within the first `x` clocks of a run, in clocks; `x` need not be whole: the last clock counts by its part. */
export function onClocks(x: number, phase: number, density: number, full: number): number {
  const whole = Math.floor(x);
  const sum = phase + whole * density;
  // The same twice: whole numbers of 31 bits are shifted, which is much faster than a division.
  if (sum < 2 ** 31) {
    const bits = 31 - Math.clz32(full);
    const short = sum | 0;
    const ones = short >> bits;
    return (short & (full - 1)) + density >= full ? ones + x - whole : ones;
  }
  const ones = Math.floor(sum / full);
  return sum - ones * full + density >= full ? ones + x - whole : ones;
}

/**
 * Adds `scale` * (on-clocks of the sample) + `base` to the samples `first`..`last`-1 of `out`, which all lie wholly
 * inside the run. `x` is the clock position of the first sample's start, `perSample` the clocks per sample (> 0).
 * Integers throughout but for the part of a clock at the samples' ends, so that the cost is per sample, not per clock.
 */
export function addWholeSamples(
  out: Float32Array,
  first: number,
  last: number,
  x: number,
  perSample: number,
  phase: number,
  density: number,
  full: number,
  scale: number,
  base: number,
): void {
  if (density === 0 || density === full) {
    const level = base + (density === 0 ? 0 : scale * perSample);
    if (level !== 0) for (let k = first; k < last; k++) out[k]! += level;
    return;
  }
  const stride = Math.floor(perSample);
  if (stride * full >= 2 ** 30) {
    addLongSamples(out, first, last, x, perSample, phase, density, full, scale, base);
    return;
  }
  const bits = 31 - Math.clz32(full);
  const mask = (full - 1) | 0;
  const d = density | 0;
  const step = (stride * d) | 0;
  const rest = perSample - stride;
  const whole = Math.floor(x);
  const sum = phase + whole * density;
  let part = x - whole;
  let accumulator = sum < 2 ** 31 ? sum & mask : (sum - Math.floor(sum / full) * full) | 0;
  let before = ((accumulator + d) >>> bits) * part;
  for (let k = first; k < last; k++) {
    part += rest;
    if (part >= 1) {
      part -= 1;
      accumulator = (accumulator + d) | 0;
    }
    accumulator = (accumulator + step) | 0;
    const ones = accumulator >>> bits;
    accumulator &= mask;
    const after = ((accumulator + d) >>> bits) * part;
    out[k]! += (ones + after - before) * scale + base;
    before = after;
  }
}

/** The same for samples of so many clocks that 32 bits do not hold the sum. */
function addLongSamples(
  out: Float32Array,
  first: number,
  last: number,
  x: number,
  perSample: number,
  phase: number,
  density: number,
  full: number,
  scale: number,
  base: number,
): void {
  let before = onClocks(x, phase, density, full);
  for (let k = first; k < last; k++) {
    const after = onClocks(x + (k + 1 - first) * perSample, phase, density, full);
    out[k]! += (after - before) * scale + base;
    before = after;
  }
}
