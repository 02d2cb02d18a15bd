import fc, { type Arbitrary } from 'fast-check';
import { type Lamp, mostSlots, type SlotLink } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { type Act, byte, holdOf, inTurn, mostly, oneOfActs } from './values.ts';

/**
 * Frames of slots as a desk sends them: as long as the lamp's slots, as the universe or shorter than either, and behind other start codes.
 */
export function slotActs(name: 'dmx' | 'sacn', lamp: Lamp, link: SlotLink): Arbitrary<Act> {
  const whole = wholeSlots(lamp, link);
  const long = fc
    .tuple(whole, byte)
    .map(([slots, fill]) => [...slots, ...new Array<number>(mostSlots - slots.length).fill(fill)]);
  // Mostly within the lamp's own slots, the others of which keep their values (ANSI E1.11-2008, 8.6, clause from memory).
  const length = mostly([0, 1], fc.integer({ min: link.firstSlot - 1, max: lastSlot(lamp, link) }));
  const short = fc.tuple(whole, length).map(([slots, some]) => slots.slice(0, some));
  const send = (slots: Arbitrary<number[]>, more: Arbitrary<object>): Arbitrary<WrittenStep> =>
    fc.tuple(slots, more).map(([all, options]) => ({ send: { [name]: all, ...options } }));
  const plain = fc.constant({});
  const code = fc
    .oneof(fc.constantFrom(0x17, 0x55, 0xcf, 0xdd, 1, 255), fc.integer({ min: 1, max: 255 }))
    .map((value) => ({ 'start-code': value }));
  return oneOfActs([
    [8, send(whole, plain)],
    [1, send(long, plain)],
    [1, send(short, plain)],
    [
      2,
      inTurn(send(whole, plain), holdOf('100 ms', '400 ms'), send(short, plain), holdOf('300 ms')),
    ],
    [3, send(whole, code)],
    [2, fc.boolean().map((on): WrittenStep => ({ carry: { link: name, on } }))],
    [1, fc.integer({ min: 1, max: 60 }).map((bytes) => ({ noise: { link: name, bytes } }))],
  ]);
}

/** Values of the lamp's own slots. From slot 1 on, what stands before them is not for it. */
export function wholeSlots({ channels }: Lamp, { bits, firstSlot }: SlotLink): Arbitrary<number[]> {
  const own = ownSlots(channels.length, bits);
  return fc
    .array(byte, { minLength: own, maxLength: own })
    .map((values) => [...new Array<number>(firstSlot - 1).fill(0), ...values]);
}

/** A dim level and the channels. */
function ownSlots(channels: number, bits: number): number {
  return (1 + channels) * (bits / 8);
}

function lastSlot({ channels }: Lamp, { bits, firstSlot }: SlotLink): number {
  return firstSlot - 1 + ownSlots(channels.length, bits);
}
