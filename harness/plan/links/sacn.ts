import * as z from 'zod';
import { scalar } from '../../files/schema-parts.ts';
import type { ValueReader } from '../value-reader.ts';
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
  sacn: z
    .union([slotValues, z.enum(['sync', 'discovery'])])
    .optional()
    .meta({ description: 'Slot values; or `sync`, `discovery` for packets without levels.' }),
  'start-code': startCode.optional(),
  priority: scalar('sACN priority, 0 to 200.', 100).optional(),
  preview: z.boolean().optional(),
  terminated: z.boolean().optional(),
  sequence: scalar('sACN sequence number instead of the running one.', 5).optional(),
  'sync-address': scalar(
    'Address whose synchronisation packet it waits for; or which `sync` releases.',
    700,
  ).optional(),
  'force-sync': z
    .boolean()
    .optional()
    .meta({ description: 'It need not wait where nobody synchronises any more.' }),
  universes: z
    .array(z.union([z.string(), z.number()]))
    .max(512)
    .optional()
    .meta({ description: 'Universes that `discovery` lists.' }),
};
type Written = z.infer<z.ZodObject<typeof keys>>;
const highestUniverse = 63_999;

/** One packet of slots with its options (ANSI E1.31); nothing comes back. */
export const sacnLanguage: LinkLanguage<SlotFrame, typeof keys> = {
  link: 'sacn',
  keys,
  read(written, reader) {
    const { sacn: slots = [], 'start-code': code = 0 } = written;
    const options = readOptions(written, reader);
    if (typeof slots !== 'string') {
      if (written.universes !== undefined)
        reader.at('universes').report('universes goes with sacn: discovery', null, 'key');
      return { ...readSlots('sacn', slots, code, reader), ...options };
    }
    checkPacket(slots, written, reader);
    const { universes = [] } = written;
    const listed = universes.map((own, index) =>
      reader.at('universes', index).whole(own, 1, highestUniverse),
    );
    return {
      ...{ link: 'sacn', startCode: 0, slots: [], packet: slots, ...options },
      ...(slots === 'discovery' && { universes: listed }),
    };
  },
  misses: missOfSlots,
  text: packetText,
  words: packetWords,
};

function readOptions(
  written: Written,
  reader: ValueReader,
): Omit<SlotFrame, 'link' | 'startCode' | 'slots'> {
  const { priority, preview, terminated, sequence, 'force-sync': forceSync } = written;
  const syncAddress = written['sync-address'];
  return {
    ...(priority !== undefined && { priority: reader.at('priority').whole(priority, 0, 200) }),
    ...(sequence !== undefined && { sequence: reader.at('sequence').whole(sequence, 0, 255) }),
    ...(preview !== undefined && { preview }),
    ...(terminated !== undefined && { terminated }),
    ...(syncAddress !== undefined && {
      syncAddress: reader.at('sync-address').whole(syncAddress, 1, highestUniverse),
    }),
    ...(forceSync !== undefined && { forceSync }),
  };
}

/** What belongs to levels, or to the other kind of packet. */
const strangers: Readonly<Record<'sync' | 'discovery', readonly (keyof Written)[]>> = {
  sync: ['start-code', 'preview', 'terminated', 'force-sync', 'universes'],
  discovery: ['start-code', 'preview', 'terminated', 'force-sync', 'sync-address', 'sequence'],
};

function checkPacket(packet: 'sync' | 'discovery', written: Written, reader: ValueReader): void {
  for (const key of strangers[packet])
    if (written[key] !== undefined)
      reader.at(key).report(`${key} does not go with sacn: ${packet}`, null, 'key');
  const needed = packet === 'sync' ? 'sync-address' : 'universes';
  if (written[needed] === undefined)
    reader.at('sacn').report(`sacn: ${packet} needs ${needed}; add "${needed}: …"`);
}

function packetText(message: SlotFrame): string {
  const { packet, syncAddress, universes = [] } = message;
  if (packet === 'sync') return `synchronisation of address ${syncAddress}`;
  if (packet === 'discovery') return `discovery of ${universes.length} universes`;
  const wait = syncAddress === undefined ? '' : `, waiting for address ${syncAddress}`;
  return `${slotText(message)}${wait}`;
}

function packetWords(message: SlotFrame): string {
  if (message.packet) return `the sACN packet of ${packetText(message)}`;
  const { syncAddress, forceSync } = message;
  const wait =
    syncAddress === undefined
      ? ''
      : `, waiting for synchronisation of address ${syncAddress}${forceSync ? ' as long as there is any' : ''}`;
  return `${slotWords(message)}${wait}`;
}
