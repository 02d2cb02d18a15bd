import type { LampTarget } from '../../harness/bench/ports.ts';
import type { DimmingCurve } from '../../harness/measure/observation.ts';

/**
 * The target at `progress` 0..1 of a fade that a sender makes frame by frame. Every channel's brightness
 * (level x intensity) runs straight in the dimming-curve domain; an end that is dark counts as the curve's bottom
 * or the other end, whichever is lower, and goes dark at the end only.
 */
export function streamFade(
  from: LampTarget,
  to: LampTarget,
  progress: number,
  curve: DimmingCurve,
): LampTarget {
  if (progress >= 1) return to;
  const between = (a: number, b: number) =>
    curve.kind === 'linear'
      ? a + (b - a) * progress
      : floored(a, b, curve.bottom) *
        (floored(b, a, curve.bottom) / floored(a, b, curve.bottom)) ** progress;
  const level = from.level > 0 || to.level > 0 ? between(from.level, to.level) : 0;
  const intensities = Object.entries(to.intensities).map(([channel, intensity]) => {
    const start = from.level * (from.intensities[channel] ?? 0);
    const end = to.level * intensity;
    const brightness = start > 0 || end > 0 ? between(start, end) : 0;
    return [channel, level > 0 ? Math.min(1, brightness / level) : 0] as const;
  });
  return { level, intensities: Object.fromEntries(intensities) };
}

function floored(end: number, other: number, bottom: number): number {
  return end > 0 ? end : Math.min(bottom, other);
}
