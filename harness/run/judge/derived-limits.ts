import type { Lamp } from '../../bench/lamp.ts';
import { derivedTarget } from '../../plan/derived-targets.ts';
import type { LimitsSource } from '../../plan/plan.ts';
import type { Limits } from '../../verdict/limits.ts';

/**
 * The tolerance of a criterion in figures; `of` tells whose where the lamp file's figure is a channel's. `show` writes
 * a figure for people.
 */
export function limitsFor(
  source: LimitsSource,
  lamp: Lamp,
  of: string,
  show: (value: number) => string,
): Limits | { readonly missing: string } {
  if (!('derived' in source)) return source;
  const target = derivedTarget(source.derived, lamp, of);
  if (typeof target === 'string') return { missing: target };
  const half = source.absolute ?? Math.abs(target) * (source.relative ?? 0);
  const text = `${show(target)} (${source.text})`;
  return { lower: target - half, upper: target + half, target, text };
}
