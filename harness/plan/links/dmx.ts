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

const keys = { dmx: slotValues.optional(), 'start-code': startCode.optional() };

/** One frame of slots behind a START code (ANSI E1.11); nothing comes back. */
export const dmxLanguage: LinkLanguage<SlotFrame, typeof keys> = {
  link: 'dmx',
  keys,
  read({ dmx: slots = [], 'start-code': code = 0 }, reader) {
    return readSlots('dmx', slots, code, reader);
  },
  misses: missOfSlots,
  text: slotText,
  words: slotWords,
};
