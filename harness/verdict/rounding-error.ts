import type { InputCalibration } from './uncertainty.ts';

/** What an input is called in the list of contributions. */
export function nameOf({ signal, of }: InputCalibration): string {
  return of === signal ? of : `${signal} ${of}`;
}

/** A rounding error of half a step at most, equally likely everywhere: step/√12 (JCGM 100:2008 4.3.7). */
export function quantisation(step: number): number {
  return step / Math.sqrt(12);
}

/** Noise of half a step spreads the rounding from sample to sample; below that one error holds for a whole level. */
export function isUndithered({
  step,
  noise,
}: {
  readonly step: number;
  readonly noise: number;
}): boolean {
  return noise < step / 2;
}
