/** On-time up to counter position `x` (periods) at duty `duty` 0..1, in periods: floor(x) * duty + min(x - floor(x), duty). */
export function onPeriods(x: number, duty: number): number {
  const whole = Math.floor(x);
  return whole * duty + Math.min(x - whole, duty);
}

/** Adds `scale` * (on-periods of the sample) to the samples `first`..`last`-1 of `out`, all wholly inside one run. */
export function addWholeSamples(
  out: Float32Array,
  first: number,
  last: number,
  x: number,
  perSample: number,
  duty: number,
  scale: number,
): void {
  if (duty === 0) return;
  let before = onPeriods(x, duty);
  for (let k = first; k < last; k++) {
    const after = onPeriods(x + (k + 1 - first) * perSample, duty);
    out[k]! += (after - before) * scale;
    before = after;
  }
}
