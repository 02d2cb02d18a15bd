import * as z from 'zod';
import { type SacnField, sacnFieldNames, sacnFields } from '../../bench/sacn-fields.ts';
import { scalar, words } from '../../files/schema-parts.ts';
import type { Raw, ValueReader } from '../value-reader.ts';
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

/** `00 10 00 00`, at least two bytes. */
const hexBytes = /^[0-9a-f]{2}( [0-9a-f]{2})+$/i;
/** Bytes of a datagram on Ethernet without fragments: 1500 less the heads of IP and UDP. */
const longestDatagram = 1472;

const keys = {
  sacn: z
    .union([slotValues, z.enum(['sync', 'discovery']), z.string().regex(hexBytes)])
    .optional()
    .meta({
      description:
        'Slot values; `sync`, `discovery` for packets without levels; or the bytes of a datagram, hex.',
    }),
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
  source: words('Name of the sender, which has a CID and numbers of its own.').optional(),
  universe: scalar(
    "Universe of the packet instead of the lamp's; `other` is the next one.",
    8,
  ).optional(),
  fields: z
    .partialRecord(z.enum(sacnFieldNames), scalar('A whole number.', 0))
    .optional()
    .meta({ description: 'Fields of the packet that are written over, right or wrong.' }),
  length: scalar('Bytes of the datagram: cut there, or filled up with zeros.', 126).optional(),
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
      const rework = readRework(written, reader);
      return { ...readSlots('sacn', slots, code, reader), ...options, ...rework };
    }
    if (slots !== 'sync' && slots !== 'discovery') return readDatagram(slots, written, reader);
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
  const { priority, preview, terminated, sequence, 'force-sync': forceSync, source } = written;
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
    ...(source !== undefined && { source: reader.at('source').text(source) }),
  };
}

/** What is changed in a packet of levels. */
function readRework(
  { universe, fields, length }: Written,
  reader: ValueReader,
): Pick<SlotFrame, 'universe' | 'fields' | 'length'> {
  const read = Object.entries(fields ?? {}).map(([name, value]) => {
    const most = 256 ** sacnFields[name as SacnField].size - 1;
    return [name, reader.at('fields', name).whole(value, 0, most)] as const;
  });
  return {
    ...(universe !== undefined && {
      universe: readUniverse(universe, reader.at('universe')),
    }),
    ...(fields && { fields: Object.fromEntries(read) }),
    ...(length !== undefined && {
      length: reader.at('length').whole(length, 1, longestDatagram),
    }),
  };
}

/** `other` is none that a lamp of this file listens to. */
function readUniverse(written: Raw, reader: ValueReader): number {
  if (reader.text(written).trim() !== 'other') return reader.whole(written, 1, highestUniverse);
  return ((reader.lamp.links.sacn?.universe ?? 0) % highestUniverse) + 1;
}

function readDatagram(bytes: string, written: Written, reader: ValueReader): SlotFrame {
  for (const key of Object.keys(written))
    if (key !== 'sacn' && key !== 'expect')
      reader.at(key).report(`${key} does not go with the bytes of a datagram`, null, 'key');
  const datagram = bytes.split(' ').map((byte) => Number.parseInt(byte, 16));
  if (datagram.length > longestDatagram)
    reader.at('sacn').report(`expected at most ${longestDatagram} bytes, found ${datagram.length}`);
  return { link: 'sacn', startCode: 0, slots: [], datagram };
}

const levelKeys = [
  ...(['start-code', 'preview', 'terminated', 'force-sync'] as const),
  ...(['universe', 'fields', 'length'] as const),
] as const;

/** What belongs to levels, or to the other kind of packet. */
const strangers: Readonly<Record<'sync' | 'discovery', readonly (keyof Written)[]>> = {
  sync: [...levelKeys, 'universes'],
  discovery: [...levelKeys, 'sync-address', 'sequence'],
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
  const { packet, syncAddress, universes = [], datagram } = message;
  if (datagram) return `datagram of ${datagram.length} bytes`;
  if (packet === 'sync') return `synchronisation of address ${syncAddress}`;
  if (packet === 'discovery') return `discovery of ${universes.length} universes`;
  const wait = syncAddress === undefined ? '' : `, waiting for address ${syncAddress}`;
  return `${slotText(message)}${wait}${reworkWords(message)}`;
}

/** `, from “second”, universe 8, priority = 201, 126 bytes long` */
function reworkWords({ source, universe, fields = {}, length }: SlotFrame): string {
  return [
    source === undefined ? '' : `, from “${source}”`,
    universe === undefined ? '' : `, universe ${universe}`,
    ...Object.entries(fields).map(([name, value]) => `, ${name} = ${value}`),
    length === undefined ? '' : `, ${length} bytes long`,
  ].join('');
}

function packetWords(message: SlotFrame): string {
  if (message.datagram) return `a ${packetText(message)} on sacn`;
  if (message.packet) return `the sACN packet of ${packetText(message)}`;
  const { syncAddress, forceSync } = message;
  const wait =
    syncAddress === undefined
      ? ''
      : `, waiting for synchronisation of address ${syncAddress}${forceSync ? ' as long as there is any' : ''}`;
  return `${slotWords(message)}${wait}${reworkWords(message)}`;
}
