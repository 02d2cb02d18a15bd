import { restartFirmware } from '../restart.ts';
import type { Moment, World } from '../world.ts';
import { fork } from '../worlds.ts';

/** Start code of RDM, and the sub-start code behind it (ANSI E1.20 6.2). */
export const rdmStartCode = 0xcc;
const subStartCode = 1;
const setCommand = 0x30;

/** Parameters of ANSI E1.20 table A-3 and E1.37-1. */
const startAddress = 0x00f0;
const identifyDevice = 0x1000;
const resetDevice = 0x1001;
/** Personality, factory defaults; power state, self-test, playback of presets. */
const moving: readonly number[] = [0x00e0, 0x0090, 0x1010, 0x1020, 0x1021, 0x1030, 0x1031];
/** Dimmer settings of E1.37-1: fail modes, minimum and maximum level, curve, response time, modulation. */
const dimmer = { from: 0x0140, to: 0x014f, and: { from: 0x0340, to: 0x034f } } as const;

interface SetMessage {
  readonly parameter: number;
  readonly data: readonly number[];
}

/**
 * What a message of RDM may do to the light. To whom it speaks is not known, since the lamp file has no UID: a setting may count or not.
 */
export function hearRdm(world: World, slots: readonly number[], moment: Moment): readonly World[] {
  const message = readSet(slots);
  if (!message) return [world];
  const { parameter, data } = message;
  if (parameter === startAddress) return moveStart(world, data);
  if (parameter === resetDevice)
    return fork('RDM may have told this lamp to restart', world, ...restartFirmware(world, moment));
  if (parameter === identifyDevice)
    return [{ ...world, altered: data[0] === 0 ? null : identifying }];
  return isLight(parameter) ? [{ ...world, altered: setByRdm }] : [world];
}

const identifying = 'the lamp may identify itself, told by RDM';
const setByRdm = 'RDM may have set how the lamp dims';

function isLight(parameter: number): boolean {
  const within = ({ from, to }: { readonly from: number; readonly to: number }) =>
    parameter >= from && parameter <= to;
  return moving.includes(parameter) || within(dimmer) || within(dimmer.and);
}

function moveStart(world: World, [high = 0, low = 0]: readonly number[]): readonly World[] {
  const firstSlot = 256 * high + low;
  const moved = { ...world, slots: { ...world.slots, firstSlot } };
  return fork('RDM may have given this lamp another start address', world, moved);
}

/** A whole message that sets something; null for any other, and for one whose checksum is wrong (E1.20 6.2.11). */
function readSet(slots: readonly number[]): SetMessage | null {
  const [sub, length = 0] = slots;
  const dataLength = slots[22] ?? 0;
  if (sub !== subStartCode || slots[19] !== setCommand || length !== 24 + dataLength) return null;
  const body = slots.slice(0, length - 1);
  const sum = body.reduce((total, byte) => total + byte, rdmStartCode) & 0xffff;
  if (slots[length - 1] !== sum >> 8 || slots[length] !== (sum & 0xff)) return null;
  const parameter = 256 * (slots[20] ?? 0) + (slots[21] ?? 0);
  return { parameter, data: slots.slice(23, 23 + dataLength) };
}
