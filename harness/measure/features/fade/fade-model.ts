import { hannMeanOfFunction } from '../../signal/hann.ts';
import type { CommandedFade } from './commanded-fade.ts';
import type { Plateaus } from './fade-plateaus.ts';

/** The level over time that a fitted line means: plateau, ramp along the curve, plateau. */
export interface FadeModel {
  levelAt(at: number): number;
  /** Its mean under a Hann window of a width, s, around an instant. */
  meanAt(at: number, width: number): number;
}

export function fadeModel(
  { course, straight, logarithmic }: CommandedFade,
  { startLevel, endLevel, startPlateau, endPlateau }: Omit<Plateaus, 'standard' | 'noise'>,
  { start, duration }: { readonly start: number; readonly duration: number },
): FadeModel {
  const ratio = endLevel / startLevel;
  const levelAt = (at: number): number => {
    const part = (at - start) / duration;
    if (part < 0) return startPlateau;
    if (part > 1) return endPlateau;
    const way = course(part);
    return logarithmic ? startLevel * ratio ** way : startLevel + (endLevel - startLevel) * way;
  };
  const end = start + duration;
  let known = Number.NaN;
  let factor = 1;
  const meanAt = (at: number, width: number): number => {
    const [from, to] = [at - width / 2, at + width / 2];
    if (to < start) return startPlateau;
    if (from > end) return endPlateau;
    if (!straight || from < start || to > end) return hannMeanOfFunction(levelAt, at, width);
    // Within the ramp every window is the same one but for a factor: an exponential's shape is the same everywhere.
    if (width !== known) {
      known = width;
      factor = logarithmic ? hannMeanOfFunction((t) => ratio ** (t / duration), 0, width) : 1;
    }
    return levelAt(at) * factor;
  };
  return { levelAt, meanAt };
}
