import fc, { type Arbitrary } from 'fast-check';
import { type Lamp, mostSlots, type SlotLink } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { type Act, byte, oneOfActs } from './values.ts';

/**
 * Frames of slots as a desk sends them: as long as the lamp's slots, as the universe or shorter than either, and behind other start codes.
 */
export function slotActs(name: 'dmx' | 'sacn', lamp: Lamp, link: SlotLink): Arbitrary<Act> {
  const whole = wholeSlots(lamp, link);
  const long = fc
    .tuple(whole, byte)
    .map(([slots, fill]) => [...slots, ...new Array<number>(mostSlots - slots.length).fill(fill)]);
  const short = fc
    .tuple(whole, fc.integer({ min: 0, max: 40 }))
    .map(([slots, length]) => slots.slice(0, length));
  const send = (slots: Arbitrary<number[]>, more: Arbitrary<object>): Arbitrary<WrittenStep> =>
    fc.tuple(slots, more).map(([all, options]) => ({ send: { [name]: all, ...options } }));
  const plain = fc.constant({});
  const code = fc.constantFrom(0x17, 0x55, 0xcf, 0xdd, 1, 255).map((value) => ({
    'start-code': value,
  }));
  return oneOfActs([
    [8, send(whole, plain)],
    [1, send(long, plain)],
    [1, send(short, plain)],
    [3, send(whole, code)],
    [2, fc.boolean().map((on): WrittenStep => ({ carry: { link: name, on } }))],
    [1, fc.integer({ min: 1, max: 60 }).map((bytes) => ({ noise: { link: name, bytes } }))],
  ]);
}

/** Values of the lamp's own slots. From slot 1 on, what stands before them is not for it. */
export function wholeSlots({ channels }: Lamp, { bits, firstSlot }: SlotLink): Arbitrary<number[]> {
  const own = (1 + channels.length) * (bits / 8);
  return fc
    .array(byte, { minLength: own, maxLength: own })
    .map((values) => [...new Array<number>(firstSlot - 1).fill(0), ...values]);
}
