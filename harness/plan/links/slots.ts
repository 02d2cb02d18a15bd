import * as z from 'zod';
import { mostSlots, type SlotLink, slotCount } from '../../bench/lamp.ts';
import type { RawMessage } from '../../bench/ports.ts';
import { scalar } from '../../files/schema-parts.ts';
import type { ListeningLamp, Miss } from '../reach/listening-lamp.ts';
import type { Raw, ValueReader } from '../value-reader.ts';

/** Slots of a frame, as DMX and sACN carry them. */
export type SlotFrame = Extract<RawMessage, { slots: readonly number[] }>;

const lampValues = z
  .strictObject({
    level: scalar('Dim level: 0 off, 1 the bottom, 255 or 65535 full.', 65535),
    channels: scalar('Intensity of every channel, up to 255 or 65535.', 65535),
  })
  .meta({ description: 'Whole values of the lamp, of one slot or of two.' });

const lampSlots = z
  .strictObject({
    'lamp-slots': scalar(
      'Value of every slot that the lamp reads, wherever they are.',
      255,
    ).optional(),
    'lamp-values': lampValues.optional(),
    others: scalar(
      'Value of all other slots; without it they are 0, up to the last of the lamp.',
      0,
    ).optional(),
  })
  .meta({ description: 'The slots that the lamp file names.' });
type LampSlots = z.infer<typeof lampSlots>;

export const slotValues = z
  .union([z.array(z.union([z.string(), z.number()])).max(mostSlots), lampSlots])
  .meta({ description: 'Slot values from slot 1 on, or the slots of the lamp.' });
type SlotValues = z.infer<typeof slotValues>;

export const startCode = scalar('START code; 0 is light.', 0);

export function readSlots(
  link: SlotFrame['link'],
  slots: SlotValues,
  code: Raw,
  reader: ValueReader,
): SlotFrame {
  return {
    link,
    startCode: reader.at('start-code').whole(code, 0, 255),
    slots: Array.isArray(slots)
      ? slots.map((slot, index) => reader.at(link, index).whole(slot, 0, 255))
      : readLampSlots(link, slots, reader),
  };
}

/** A lamp without this link has no slots on it. */
function readLampSlots(
  link: SlotFrame['link'],
  { 'lamp-slots': same, 'lamp-values': values, others }: LampSlots,
  reader: ValueReader,
): number[] {
  if ((same === undefined) === (values === undefined)) {
    const found = same === undefined ? 'none' : 'both';
    reader.at(link).report(`expected lamp-slots or lamp-values, found ${found}`);
    return [];
  }
  const other = others === undefined ? 0 : reader.at(link, 'others').whole(others, 0, 255);
  const { links, channels } = reader.lamp;
  const on = links[link];
  if (!on) return [];
  const before = on.firstSlot - 1;
  const last = before + slotCount(on, channels.length);
  const slots = new Array<number>(others === undefined ? last : mostSlots).fill(other);
  if (same !== undefined)
    return slots.fill(reader.at(link, 'lamp-slots').whole(same, 0, 255), before, last);
  if (values) slots.splice(before, last - before, ...valueSlots(link, values, on, reader));
  return slots;
}

/** The slots of the lamp, coarse before fine where a value has two. */
function valueSlots(
  link: SlotFrame['link'],
  { level, channels }: z.infer<typeof lampValues>,
  { bits }: SlotLink,
  reader: ValueReader,
): number[] {
  const at = reader.at(link, 'lamp-values');
  // What the spec says of lamps of 16 bits is not held against one of 8.
  const most = 2 ** (reader.lampFits ? bits : 16) - 1;
  const whole = (key: string, own: Raw) => at.at(key).whole(own, 0, most);
  const intensity = whole('channels', channels);
  const each = reader.lamp.channels.map(() => intensity);
  const bytes = (value: number) => (bits === 8 ? [value] : [value >> 8, value & 0xff]);
  return [whole('level', level), ...each].flatMap(bytes);
}

/** A packet without levels, and the end of a stream, which need none, reach the lamp always. */
export function missOfSlots(
  { link, slots, packet, terminated, datagram, universe }: SlotFrame,
  listening: ListeningLamp,
): Miss | null {
  if (packet || datagram || (terminated && slots.length === 0)) return null;
  if (universe !== undefined && universe !== listening.lamp.links.sacn?.universe)
    return { why: `universe ${universe} is not its own`, arrives: true };
  return listening.missOfSlots(link, slots.length) ?? listening.hear(link);
}

/** Where the first ones are all 0, those behind them say more. */
function shown(slots: readonly number[], most: number): string {
  const lit = slots.findIndex((slot) => slot > 0);
  const from = lit < most ? 0 : lit;
  const dark = from > 0 ? `0 up to slot ${from}, then ` : '';
  const more = slots.length > from + most ? ' …' : '';
  return `${dark}${slots.slice(from, from + most).join(' ')}${more}`;
}

export function slotText({ startCode: code, slots }: SlotFrame): string {
  return `start code ${code}, slots ${shown(slots, 16)}`;
}

export function slotWords(message: SlotFrame): string {
  const { link, slots, startCode: code, priority, preview, terminated, sequence } = message;
  const count = slots.length > 8 ? ` (${slots.length} slots)` : '';
  const flags = [
    code === 0 ? '' : `start code ${code}`,
    priority === undefined ? '' : `priority ${priority}`,
    preview ? 'preview' : '',
    terminated ? 'stream terminated' : '',
    sequence === undefined ? '' : `sequence ${sequence}`,
  ].filter(Boolean);
  return `${link} slots ${shown(slots, 8)}${count}${flags.length > 0 ? ` (${flags.join(', ')})` : ''}`;
}
