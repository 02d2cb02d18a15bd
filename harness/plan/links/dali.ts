import * as z from 'zod';
import type { RawMessage } from '../../bench/ports.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { scalar } from '../../files/schema-parts.ts';
import type { ValueReader } from '../value-reader.ts';
import { colourCommands } from './colour-commands.ts';
import { type DaliCommand, daliCommands, isConfiguration, isQuery } from './dali-commands.ts';
import {
  type DeviceCommand,
  type DevicePlace,
  deviceCommands,
  deviceFrame,
  highestDevice,
  highestInstance,
} from './device-commands.ts';
import type { LinkLanguage } from './link-language.ts';

type DaliFrame = Extract<RawMessage, { link: 'dali' }>;

/** A frame with its gap, s: 15.83 ms and at least 14.9 ms (IEC 62386-101, confirmed in public texts). */
const frameTime = 0.031;
/** A frame of 24 bits with its gap, s: 27 bits at 1200 a second and 14.9 ms (IEC 62386-101, computed), and talk with a bridge. */
const longFrameTime = 0.04;
/** Frames that set the fade time: the register, the command twice. */
const fadeTimeFrames = 3;
/** Frames that set one primary of colour control gear: two data registers, the device type, the command. */
const framesPerPrimary = 4;

const keys = {
  dali: z
    .string()
    .meta({
      description: 'Two or three bytes in hex, or a command by name.',
      examples: ['ff 05', 'query-actual-level'],
    })
    .optional(),
  to: z
    .string()
    .meta({ description: 'lamp (default), group, or broadcast; for a DALI command by name.' })
    .optional(),
  value: scalar('Value for a DALI command by name: a level, a scene, a byte.').optional(),
  device: scalar(
    'Short address of the control device, or broadcast; the number of the lamp by default. For commands and events of control devices.',
    3,
  ).optional(),
  instance: scalar('Instance of the control device, 0 by default.', 1).optional(),
  twice: z.boolean().optional().meta({ description: 'Twice within 100 ms.' }),
};
type Written = z.infer<z.ZodObject<typeof keys>>;

const gearCommands: Readonly<Record<string, DaliCommand>> = { ...daliCommands, ...colourCommands };

/** Forward frames, as bytes or as commands by name; queries are answered by a byte (IEC 62386-102). */
export const daliLanguage: LinkLanguage<DaliFrame, typeof keys> = {
  link: 'dali',
  keys,
  read(written, reader) {
    const at = reader.at('dali');
    const text = at.text(written.dali ?? '').trim();
    if (/^[0-9a-f]{2}( [0-9a-f]{2}){1,2}$/i.test(text)) return readBytes(text, written, reader);
    const command = Object.hasOwn(gearCommands, text) ? gearCommands[text] : undefined;
    if (command) return readCommand(text, command, written, reader);
    const own = Object.hasOwn(deviceCommands, text) ? deviceCommands[text] : undefined;
    if (own) return readDeviceCommand(text, own, written, reader);
    const guess = didYouMean(text, [...Object.keys(gearCommands), ...Object.keys(deviceCommands)]);
    const expected = 'expected two or three bytes in hex (ff 05) or a command by name';
    at.report(`${expected}, found "${text.slice(0, 60)}"${guess}`, written.dali);
    return null;
  },
  readExpectation(written, reader) {
    const text = reader.text(written).trim();
    if (text === 'silence' || text === 'no') return { silence: true };
    if (text === 'yes') return { byte: 0xff };
    const byte = reader.whole(written, 0, 255);
    return Number.isNaN(byte) ? null : { byte };
  },
  text({ frame, twice }) {
    return twice ? `${hex(frame)} twice` : hex(frame);
  },
  words({ frame, twice }) {
    return `the DALI frame ${hex(frame)}${twice ? ' twice' : ''}`;
  },
  misses: ({ frame }, listening) => listening.missOfFrame(frame),
  settingTime({ channels }, withMix) {
    const primaries = withMix ? channels.length * framesPerPrimary : 0;
    return (1 + fadeTimeFrames + primaries) * frameTime;
  },
  noiseTime(_, bytes) {
    return Math.ceil(bytes / 3) * longFrameTime;
  },
};

function readBytes(text: string, written: Written, reader: ValueReader): DaliFrame {
  refuseKeys(['to', 'value', 'device', 'instance'], 'with a command by name, not with bytes', {
    written,
    reader,
  });
  const frame = text.split(' ').map((byte) => Number.parseInt(byte, 16));
  return { link: 'dali', frame, ...(written.twice !== undefined && { twice: written.twice }) };
}

function refuseKeys(
  keysOfOthers: readonly (keyof Written)[],
  goes: string,
  { written, reader }: { readonly written: Written; readonly reader: ValueReader },
): void {
  for (const key of keysOfOthers)
    if (written[key] !== undefined) reader.at(key).report(`${key} goes ${goes}`, null, 'key');
}

/** A command or event of a control device: three bytes, which are not for the lamp. */
function readDeviceCommand(
  name: string,
  command: DeviceCommand,
  written: Written,
  reader: ValueReader,
): DaliFrame | null {
  refuseKeys(['to'], 'with commands for gear; control devices have device and instance', {
    written,
    reader,
  });
  const value = readValue(name, command, written, reader);
  if (value === null) return null;
  const { device = reader.lamp.links.dali?.shortAddress ?? 0, instance = 0 } = written;
  const place: DevicePlace = {
    device:
      device === 'broadcast' ? 'broadcast' : reader.at('device').whole(device, 0, highestDevice),
    instance: reader.at('instance').whole(instance, 0, highestInstance),
  };
  const twice = written.twice ?? command.twice ?? false;
  const manner = { ...(twice && { twice }), ...(command.asks && { answer: true }) };
  return { link: 'dali', frame: deviceFrame(command, place, value), ...manner };
}

function readCommand(
  name: string,
  command: DaliCommand,
  written: Written,
  reader: ValueReader,
): DaliFrame | null {
  refuseKeys(['device', 'instance'], 'with commands and events of control devices', {
    written,
    reader,
  });
  const value = readValue(name, command, written, reader);
  if (value === null) return null;
  const twice = written.twice ?? isConfiguration(command);
  const { kind, code, deviceType } = command;
  const manner = {
    ...(twice && { twice }),
    ...(isQuery(command) && { answer: true }),
    ...(deviceType !== undefined && { deviceType }),
  };
  if (kind === 'special') return { link: 'dali', frame: [code, value], ...manner };
  const address = readAddress(written.to ?? 'lamp', reader.at('to'));
  if (address === null) return null;
  const frame = kind === 'level' ? [address, value] : [address | 1, code + value];
  return { link: 'dali', frame, ...manner };
}

/** 0 where the command takes none; null where one is missing or too many. */
function readValue(
  name: string,
  { highest }: Pick<DaliCommand, 'highest'>,
  { value }: Written,
  reader: ValueReader,
): number | null {
  if (highest === undefined && value === undefined) return 0;
  if (highest !== undefined && value !== undefined)
    return reader.at('value').whole(value, 0, highest);
  const what = highest === undefined ? 'takes no value' : 'needs a value; add "value: …"';
  reader.at(value === undefined ? 'dali' : 'value').report(`${name} ${what}`);
  return null;
}

/** Address byte with the selector bit 0: short 0AAAAAA0, group 100AAAA0, broadcast 11111110 (IEC 62386-102). */
function readAddress(written: string, reader: ValueReader): number | null {
  const word = reader.text(written);
  const { lamp, lampFits } = reader;
  const { dali } = lamp.links;
  if (word === 'broadcast') return 0xfe;
  if (word === 'lamp') return (dali?.shortAddress ?? 0) << 1;
  if (word === 'group' && (dali?.group !== undefined || !lampFits))
    return 0x80 | ((dali?.group ?? 0) << 1);
  const found =
    word === 'group' ? `group, but lamp ${lamp.lamp} is in none` : `"${word.slice(0, 60)}"`;
  reader.report(`expected lamp, group or broadcast, found ${found}`, written);
  return null;
}

function hex(frame: readonly number[]): string {
  return frame.map((byte) => byte.toString(16).padStart(2, '0')).join(' ');
}
