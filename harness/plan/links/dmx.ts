import { frameShape, frameWords, readFrameShape } from './frame-shape.ts';
import type { LinkLanguage } from './link-language.ts';
import {
  missOfSlots,
  readSlots,
  type SlotFrame,
  slotText,
  slotValues,
  slotWords,
  startCode,
} from './slots.ts';

const keys = {
  dmx: slotValues.optional(),
  'start-code': startCode.optional(),
  frame: frameShape.optional(),
};

/** One frame of slots behind a START code (ANSI E1.11); nothing comes back. */
export const dmxLanguage: LinkLanguage<SlotFrame, typeof keys> = {
  link: 'dmx',
  keys,
  read({ dmx: written = [], 'start-code': code = 0, frame: shape }, reader) {
    const message = readSlots('dmx', written, code, reader);
    if (!shape) return message;
    const frame = readFrameShape(shape, message.slots.length, reader.at('frame'));
    return { ...message, frame, slots: ofLength(message.slots, frame.slots) };
  },
  misses: missOfSlots,
  text: (message) => `${slotText(message)}${frameWords(message.frame)}`,
  words: (message) => `${slotWords(message)}${frameWords(message.frame)}`,
};

/** Cut, or filled up with zeros. */
function ofLength(slots: readonly number[], length = slots.length): readonly number[] {
  if (!Number.isFinite(length)) return slots;
  return Array.from({ length }, (_, index) => slots[index] ?? 0);
}
