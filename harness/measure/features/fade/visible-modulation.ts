/**
 * Modulation (0..1) above which a regular change at a frequency (Hz) may be seen or disturb: 0.025 f % below 90 Hz,
 * 0.08 f % from 90 Hz on, never above 1.
 * Source: IEEE Std 1789-2015 recommended practice 1, low risk (from memory), applied to one component.
 */
export function visibleModulation(frequency: number): number {
  const percent = frequency < 90 ? 0.025 * frequency : 0.08 * frequency;
  return Math.min(1, percent / 100);
}
