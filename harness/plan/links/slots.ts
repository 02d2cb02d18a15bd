import * as z from 'zod';
import { mostSlots } from '../../bench/lamp.ts';
import type { RawMessage } from '../../bench/ports.ts';
import { scalar } from '../../files/schema-parts.ts';
import type { Raw, ValueReader } from '../value-reader.ts';

/** Slots of a frame, as DMX and sACN carry them. */
export type SlotFrame = Extract<RawMessage, { slots: readonly number[] }>;

export const slotValues = z
  .array(z.union([z.string(), z.number()]))
  .max(mostSlots)
  .meta({ description: 'Slot values from slot 1 on.' });

export const startCode = scalar('START code; 0 is light.', 0);

export function readSlots(
  link: SlotFrame['link'],
  slots: readonly Raw[],
  code: Raw,
  reader: ValueReader,
): SlotFrame {
  return {
    link,
    startCode: reader.at('start-code').whole(code, 0, 255),
    slots: slots.map((slot, index) => reader.at(link, index).whole(slot, 0, 255)),
  };
}

export function slotText({ startCode: code, slots }: SlotFrame): string {
  const shown = slots.slice(0, 16).join(' ');
  return `start code ${code}, slots ${shown}${slots.length > 16 ? ' …' : ''}`;
}

export function slotWords(message: SlotFrame): string {
  const { link, slots, startCode: code, priority, preview, terminated, sequence } = message;
  const shown = slots.slice(0, 8).join(' ');
  const more = slots.length > 8 ? ` … (${slots.length} slots)` : '';
  const flags = [
    code === 0 ? '' : `start code ${code}`,
    priority === undefined ? '' : `priority ${priority}`,
    preview ? 'preview' : '',
    terminated ? 'stream terminated' : '',
    sequence === undefined ? '' : `sequence ${sequence}`,
  ].filter(Boolean);
  return `${link} slots ${shown}${more}${flags.length > 0 ? ` (${flags.join(', ')})` : ''}`;
}
