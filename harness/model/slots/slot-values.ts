import type { Lamp, SlotLink } from '../../bench/lamp.ts';
import { type Band, dark, exactly } from '../band.ts';
import type { Target } from '../light.ts';

/** The light that slots ask for, slot 1 first. Slots that never came count as 0. */
export function targetOf(lamp: Lamp, link: SlotLink, slots: readonly number[]): Target {
  const highest = 2 ** link.bits - 1;
  const width = link.bits / 8;
  const value = (place: number): number => {
    const at = link.firstSlot - 1 + place * width;
    const coarse = slots[at] ?? 0;
    return width === 1 ? coarse : 256 * coarse + (slots[at + 1] ?? 0);
  };
  return {
    level: levelOfValue(value(0), highest, lamp),
    mix: lamp.channels.map((_, index): Band => exactly(value(index + 1) / highest)),
  };
}

/** The level runs along the dimming curve: 0 is off, 1 the bottom, the highest value full. */
function levelOfValue(value: number, highest: number, { curve }: Lamp): Band {
  if (value === 0) return dark;
  if (curve.kind === 'logarithmic')
    return exactly(curve.bottom ** (1 - (value - 1) / (highest - 1)));
  const straight = value / highest;
  return { low: straight, high: Math.max(curve.bottom, straight) };
}

/** Slots of the lamp, from its first one on. */
export function slotsOf(
  lamp: Lamp,
  link: SlotLink,
): { readonly from: number; readonly to: number } {
  const from = link.firstSlot - 1;
  return { from, to: from + (1 + lamp.channels.length) * (link.bits / 8) };
}
