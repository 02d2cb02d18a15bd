import * as z from 'zod';
import { scalar } from '../../files/schema-parts.ts';
import type { LinkLanguage } from './link-language.ts';
import { readSlots, type SlotFrame, slotText, slotValues, slotWords, startCode } from './slots.ts';

const keys = {
  sacn: slotValues.optional(),
  'start-code': startCode.optional(),
  priority: scalar('sACN priority, 0 to 200.', 100).optional(),
  preview: z.boolean().optional(),
  terminated: z.boolean().optional(),
  sequence: scalar('sACN sequence number instead of the running one.', 5).optional(),
};

/** One packet of slots with its options (ANSI E1.31); nothing comes back. */
export const sacnLanguage: LinkLanguage<SlotFrame, typeof keys> = {
  link: 'sacn',
  keys,
  read(written, reader) {
    const { sacn: slots = [], 'start-code': code = 0, ...options } = written;
    const { priority, preview, terminated, sequence } = options;
    return {
      ...readSlots('sacn', slots, code, reader),
      ...(priority !== undefined && { priority: reader.at('priority').whole(priority, 0, 200) }),
      ...(sequence !== undefined && { sequence: reader.at('sequence').whole(sequence, 0, 255) }),
      ...(preview !== undefined && { preview }),
      ...(terminated !== undefined && { terminated }),
    };
  },
  text: slotText,
  words: slotWords,
};
