import type { Lamp } from '../../bench/lamp.ts';
import type { Band } from '../band.ts';
import type { Shape } from '../course.ts';

/** The highest arc power level, and "no change" or "none" (IEC 62386-102 9.4). */
export const highest = 254;
export const mask = 255;

/** Levels of the logarithmic curve per decade of light: 253 / 3 (IEC 62386-102 9.3). */
const perDecade = 253 / 3;

/** Relative light 0..1 of a level, which need not be whole; 0 for levels of 0 and below. IEC 62386-102 9.3. */
export function lightOf(level: number): number {
  return level <= 0 ? 0 : 10 ** ((level - highest) / perDecade);
}

/** The level of a relative light, not rounded; 0 for darkness. */
export function levelOf(light: number): number {
  if (light <= 0) return 0;
  const level = highest + perDecade * Math.log10(light);
  const whole = Math.round(level);
  return Math.abs(level - whole) < 1e-6 ? whole : level;
}

/** Whole levels that a gear may report for a light: any between the bounds, rounded down or up. */
export function levelsWithin(light: Band): number[] {
  const least = light.low <= 0 ? 0 : Math.max(1, Math.floor(levelOf(light.low)));
  const most = light.high <= 0 ? 0 : Math.min(highest, Math.max(1, Math.ceil(levelOf(light.high))));
  return Array.from({ length: most - least + 1 }, (_, index) => least + index);
}

/** Seconds of fade time 1..15: half a second times the root of 2^n; 0 for 0. IEC 62386-102 9.5. */
export function fadeSeconds(code: number): number {
  return code === 0 ? 0 : Math.sqrt(2 ** code) / 2;
}

/** Seconds of an extended fade time `0YYYAAAA`: (A + 1) times nothing, 0.1 s, 1 s, 10 s or 1 min. IEC 62386-102 9.5, from memory. */
export function extendedFadeSeconds(code: number): number {
  const unit = [0, 0.1, 1, 10, 60][code >> 4] ?? 0;
  return ((code & 0x0f) + 1) * unit;
}

/** Levels per second of fade rate 1..15. IEC 62386-102 9.5. */
export function levelsPerSecond(code: number): number {
  return 506 / Math.sqrt(2 ** code);
}

/**
 * A lamp whose own curve is straight may fade along that, or along the levels of the bus: LED gear may have a linear dimming curve (IEC
 * 62386-207, from memory), and the lamp file does not say which one holds on the bus.
 */
export function daliShape({ curve }: Lamp): Shape {
  return curve.kind === 'linear' ? 'either' : 'geometric';
}
