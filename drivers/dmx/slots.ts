import { type SlotLink, slotCount } from '../../harness/bench/lamp.ts';
import type { LampTarget } from '../../harness/bench/ports.ts';
import type { DimmingCurve } from '../../harness/measure/observation.ts';

/** Largest value of a parameter: 255, or 65535 in two slots. */
export function highestValue(bits: 8 | 16): number {
  return 2 ** bits - 1;
}

/**
 * Slots 1.. up to the lamp's last one for a level and a mix (both 0..1). The level goes along the dimming curve: value
 * 0 is off, 1 the bottom, the highest full. Intensities are straight: value / highest.
 */
export function slotsOf(
  link: SlotLink,
  channels: readonly string[],
  curve: DimmingCurve,
  to: LampTarget,
): Uint8Array {
  const highest = highestValue(link.bits);
  const values = [
    levelValue(to.level, highest, curve),
    ...channels.map((channel) => Math.round((to.intensities[channel] ?? 0) * highest)),
  ];
  const slots = new Uint8Array(link.firstSlot - 1 + slotCount(link, channels.length));
  values.forEach((value, index) => {
    const at = link.firstSlot - 1 + index * (link.bits / 8);
    // 16 bit goes coarse first.
    if (link.bits === 16) slots[at] = value >> 8;
    slots[at + link.bits / 8 - 1] = value & 0xff;
  });
  return slots;
}

/** Slot value of a level 0..1: 0 only for off. */
export function levelValue(level: number, highest: number, curve: DimmingCurve): number {
  if (level <= 0) return 0;
  if (curve.kind === 'linear') return Math.max(1, Math.round(level * highest));
  const position = 1 - Math.log(level) / Math.log(curve.bottom);
  return Math.min(highest, Math.max(1, Math.round(1 + position * (highest - 1))));
}

/** Level 0..1 of a position 0..1 on the curve: 0 the bottom, 1 full. */
export function levelOfPosition(position: number, curve: DimmingCurve): number {
  return curve.kind === 'linear' ? position : curve.bottom ** (1 - position);
}
