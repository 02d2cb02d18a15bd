/** A write to the drive register. */
export interface Write {
  readonly at: number;
  readonly value: number;
}

/**
 * The slow twin of the closed form: clocks the accumulator once per bit and adds up, bit by bit, how much of each
 * sample the output was high. Returns the mean of each sample.
 */
export function pulseDensityBitByBit(
  { bits, clock, phase }: { readonly bits: number; readonly clock: number; readonly phase: number },
  writes: readonly Write[],
  { t0, dt, count }: { readonly t0: number; readonly dt: number; readonly count: number },
): Float64Array {
  const full = 2 ** bits;
  const means = new Float64Array(count);
  const clocks = Math.ceil((t0 + count * dt) * clock) + 1;
  let accumulator = Math.floor(phase * full) % full;
  let value = 0;
  let next = 0;
  for (let n = 0; n < clocks; n++) {
    while (next < writes.length && writes[next]!.at * clock <= n + 1e-6)
      value = writes[next++]!.value;
    accumulator += value;
    if (accumulator < full) continue;
    accumulator -= full;
    addHigh(means, n / clock, (n + 1) / clock, t0, dt);
  }
  return means;
}

/** The same for a counter whose compare value is taken over when the counter wraps; counted clock by clock. */
export function pulseWidthBitByBit(
  {
    bits,
    frequency,
    phase,
  }: { readonly bits: number; readonly frequency: number; readonly phase: number },
  writes: readonly Write[],
  { t0, dt, count }: { readonly t0: number; readonly dt: number; readonly count: number },
): Float64Array {
  const full = 2 ** bits;
  const clock = full * frequency;
  const means = new Float64Array(count);
  const begin = Math.round(phase * full);
  const clocks = Math.ceil((t0 + count * dt) * clock) + 1;
  let compare = 0;
  for (let n = 0; n < clocks; n++) {
    const counter = (begin + n) % full;
    if (counter === 0) {
      for (const write of writes) {
        if (write.at * frequency <= n / full + 1e-6) compare = write.value;
      }
    }
    if (counter < compare) addHigh(means, n / clock, (n + 1) / clock, t0, dt);
  }
  return means;
}

function addHigh(means: Float64Array, from: number, to: number, t0: number, dt: number): void {
  const first = Math.max(0, Math.floor((from - t0) / dt) - 1);
  for (let k = first; k < means.length && t0 + k * dt < to; k++) {
    const overlap = Math.min(to, t0 + (k + 1) * dt) - Math.max(from, t0 + k * dt);
    if (overlap > 0) means[k]! += overlap / dt;
  }
}
