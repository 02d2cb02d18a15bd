import type { Before } from '../../bench/before-schema.ts';
import type { WireFigure } from '../../bench/look-schema.ts';
import type { BenchLook } from './bench-look.ts';
import { figureText } from './figure-text.ts';

/** One look at the bench, before the first claim or after the last one. */
export interface BenchCheck {
  readonly check:
    | 'dark'
    | 'saturation'
    | 'stable'
    | 'reference'
    | 'linearity'
    | 'check-standard'
    | 'drift';
  readonly good: boolean;
  /** What was found and what was allowed. */
  readonly text: string;
}

/** A neighbour that blinks once a second shows in this, s. */
const darkLength = 1.5;
/** Standard deviations that the highest of some hundred pieces of white noise stays below. */
const highestOfMany = 5;

export async function darkCheck(look: BenchLook, most: WireFigure): Promise<BenchCheck> {
  await look.powerOff();
  const { mean, peak, perPiece } = await look.read(darkLength);
  // Of the noise that the rig file states, the highest of a thousand pieces.
  const noise = (highestOfMany * look.wire.noise) / Math.sqrt(perPiece);
  const good = Math.abs(mean) <= most.value && peak <= most.value + noise;
  const text = `${look.words(mean)} with everything off, ${look.words(peak)} at its peaks; at most ${look.words(most.value)} allowed, and ${look.words(noise)} of noise beside it at the peaks`;
  return { check: 'dark', good, text };
}

export async function saturationCheck(look: BenchLook, most: number): Promise<BenchCheck> {
  await look.light(look.all);
  const { largest, clipped, samples } = await look.read();
  const share = largest / look.wire.fullScale;
  const text = `${percent(share)} of full scale at full level, at most ${percent(most)} allowed; ${clipped} of ${samples} samples clipped, none allowed`;
  return { check: 'saturation', good: share <= most && clipped === 0, text };
}

export async function stableCheck(
  look: BenchLook,
  { within, over, most }: NonNullable<Before['stable']>,
): Promise<BenchCheck> {
  await look.light(look.all);
  const began = look.now();
  const seen: { readonly at: number; readonly mean: number }[] = [];
  for (;;) {
    const at = look.now() - began;
    seen.push({ at, mean: (await look.read()).mean });
    const recent = seen.filter((each) => each.at >= at - over);
    const spread = spreadOf(recent.map(({ mean }) => mean));
    const text = `changed by ${percent(spread)} in ${over} s, after ${at.toFixed(0)} s at full level; ${percent(within)} allowed`;
    if (at >= over && spread <= within) return { check: 'stable', good: true, text };
    if (at >= most) return { check: 'stable', good: false, text };
    await look.wait(Math.min(over / 10, Math.max(0.1, most - at)));
  }
}

export async function referenceCheck(
  look: BenchLook,
  { expected, within }: Pick<NonNullable<Before['reference']>, 'expected' | 'within'>,
): Promise<BenchCheck> {
  await look.light(look.all);
  const { mean } = await look.read();
  const off = mean / expected.value - 1;
  const text = `${look.words(mean)} at full level, ${percent(off)} from the ${look.words(expected.value)} expected; ± ${percent(within)} allowed`;
  return { check: 'reference', good: Math.abs(off) <= within, text };
}

/** Superposition: light adds up, and what reads it should, too. Droop of the lamp itself counts as the reader's. */
export async function linearityCheck(look: BenchLook, most: number): Promise<BenchCheck> {
  await look.light([]);
  const dark = (await look.read()).mean;
  await look.light(look.all);
  const together = (await look.read()).mean - dark;
  let apart = 0;
  for (const channel of look.all) {
    await look.light([channel]);
    apart += (await look.read()).mean - dark;
  }
  const off = apart === 0 ? Number.POSITIVE_INFINITY : together / apart - 1;
  const text = `all channels together read ${percent(off)} from the sum of each alone; ± ${percent(most)} allowed`;
  return { check: 'linearity', good: Math.abs(off) <= most, text };
}

/** From the lowest to the highest, against the mean. */
function spreadOf(means: readonly number[]): number {
  const mean = means.reduce((sum, each) => sum + each, 0) / means.length;
  return Math.abs((Math.max(...means) - Math.min(...means)) / mean);
}

export function percent(share: number): string {
  return `${figureText(Number((100 * share).toPrecision(3)))} %`;
}
