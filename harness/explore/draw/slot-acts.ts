import fc, { type Arbitrary } from 'fast-check';
import { type Lamp, mostSlots, type SlotLink } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { byte, oneOfSteps } from './values.ts';

/**
 * Frames of slots as a desk sends them: as long as the lamp's slots or as the universe, and behind other start codes. None ends within
 * the lamp's slots, since no standard says what a lamp makes of that.
 */
export function slotActs(name: 'dmx' | 'sacn', lamp: Lamp, link: SlotLink): Arbitrary<WrittenStep> {
  const own = (1 + lamp.channels.length) * (link.bits / 8);
  const values = fc.array(byte, { minLength: own, maxLength: own });
  const whole = values.map((slots) => placed(slots, link.firstSlot));
  const long = fc
    .tuple(whole, byte)
    .map(([slots, fill]) => [...slots, ...new Array<number>(mostSlots - slots.length).fill(fill)]);
  const send = (slots: Arbitrary<number[]>, more: Arbitrary<object>): Arbitrary<WrittenStep> =>
    fc.tuple(slots, more).map(([all, options]) => ({ send: { [name]: all, ...options } }));
  const plain = fc.constant({});
  const code = fc.constantFrom(0x17, 0x55, 0xcc, 0xcf, 0xdd, 1, 255).map((value) => ({
    'start-code': value,
  }));
  return oneOfSteps([
    [8, send(whole, plain)],
    [1, send(long, plain)],
    [2, send(whole, code)],
    [2, fc.boolean().map((on) => ({ carry: { link: name, on } }))],
    [1, fc.integer({ min: 1, max: 60 }).map((bytes) => ({ noise: { link: name, bytes } }))],
    ...(name === 'sacn' ? ([[5, send(whole, packetOptions)]] as const) : []),
  ]);
}

/** What the head of a packet may say (ANSI E1.31-2018 6.2). */
const packetOptions: Arbitrary<object> = fc.record(
  {
    preview: fc.boolean(),
  },
  { requiredKeys: [] },
);

/** From slot 1 on, what stands before the lamp's own slots is not for it. */
function placed(own: readonly number[], firstSlot: number): number[] {
  return [...new Array<number>(firstSlot - 1).fill(0), ...own];
}
