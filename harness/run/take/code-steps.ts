import type { RawCapture } from '../../bench/ports.ts';

/** With fewer different codes, or samples, a coarse record may be chance. */
const fewestCodes = 8;
const fewestSamples = 1000;

/** The largest step of which all differences of a record's codes are multiples; 1 where too few codes tell. */
export function greatestStep(codes: RawCapture['codes']): number {
  if (codes instanceof Float32Array || codes.length < fewestSamples) return 1;
  const first = codes[0] ?? 0;
  const different = new Set<number>([first]);
  let step = 0;
  for (let k = 1; k < codes.length; k++) {
    const code = codes[k] ?? 0;
    if (different.size < fewestCodes) different.add(code);
    if (code === first) continue;
    step = commonDivisor(step, Math.abs(code - first));
    if (step === 1) return 1;
  }
  return different.size < fewestCodes ? 1 : step;
}

function commonDivisor(one: number, two: number): number {
  let [a, b] = [one, two];
  while (b !== 0) [a, b] = [b, a % b];
  return a;
}
