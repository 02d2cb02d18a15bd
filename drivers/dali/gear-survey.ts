import type { Identity } from '../../harness/bench/ports.ts';
import { addressByte, commandFrame, type DaliAddress, type ForwardFrame } from './frame.ts';
import { opcode, special } from './opcodes.ts';

/** How a survey speaks to the bus. */
export interface Bus {
  send(frame: ForwardFrame): Promise<void>;
  sendTwice(frame: ForwardFrame): Promise<void>;
  /** The backward frame, or null for silence; rejects where several collide at one short address. */
  ask(frame: ForwardFrame): Promise<number | null>;
  /** Whether anybody answers: several may. */
  anybody(frame: ForwardFrame): Promise<boolean>;
}

/** The gear that answered at a short address. */
export type Survey =
  | { readonly found: 'nobody' | 'several' }
  | { readonly found: 'one'; readonly identity: Identity | null };

const highestRandom = 0xffffff;

/**
 * Asks who is at a short address: whether gear is there, whether it is one (its random address is the only one that COMPARE
 * finds, so that a bridge which cannot see collisions is not needed), and what its memory bank 0 says of it. Leaves DTR0
 * and DTR1 changed. IEC 62386-102: 9.10 memory banks and 9.14 addressing, from memory.
 */
export async function surveyGear(bus: Bus, short: number): Promise<Survey> {
  const address: DaliAddress = { to: 'short', address: short };
  const present = await bus.ask(commandFrame(address, opcode.queryGearPresent));
  if (present === null) return { found: 'nobody' };
  const random = await readRandom(bus, address);
  if (random !== null && !(await isAlone(bus, short, random))) return { found: 'several' };
  return { found: 'one', identity: await readBank0(bus, address) };
}

async function readRandom(bus: Bus, address: DaliAddress): Promise<number | null> {
  let random = 0;
  for (const code of [opcode.queryRandomHigh, opcode.queryRandomMiddle, opcode.queryRandomLow]) {
    const byte = await bus.ask(commandFrame(address, code));
    if (byte === null) return null;
    random = 256 * random + byte;
  }
  return random;
}

/** What two gears answer at once reads as the lower bits of both: then nobody, or somebody else, is found there. */
async function isAlone(bus: Bus, short: number, random: number): Promise<boolean> {
  await bus.sendTwice([special.initialise, addressByte({ to: 'short', address: short }, 1)]);
  try {
    await search(bus, random);
    if (!(await bus.anybody([special.compare, 0]))) return false;
    await bus.send([special.withdraw, 0]);
    await search(bus, highestRandom);
    return !(await bus.anybody([special.compare, 0]));
  } finally {
    await bus.send([special.terminate, 0]);
  }
}

async function search(bus: Bus, random: number): Promise<void> {
  await bus.send([special.searchHigh, (random >> 16) & 0xff]);
  await bus.send([special.searchMiddle, (random >> 8) & 0xff]);
  await bus.send([special.searchLow, random & 0xff]);
}

/** Of bank 0: trade number at 3, firmware at 9, serial number at 11; 8 bytes of it. From memory. */
const tradeNumberAt = 3;
const firmwareAt = 9;
const serialAt = 11;
const endsAt = 19;

async function readBank0(bus: Bus, address: DaliAddress): Promise<Identity | null> {
  await bus.send([special.dtr1, 0]);
  await bus.send([special.dtr0, tradeNumberAt]);
  const bytes: number[] = [];
  for (let at = tradeNumberAt; at < endsAt; at++) {
    const byte = await bus.ask(commandFrame(address, opcode.readMemory));
    if (byte === null) return null;
    bytes.push(byte);
  }
  const part = (from: number, to: number): string =>
    wholeNumber(bytes.slice(from - tradeNumberAt, to - tradeNumberAt));
  const [major = 0, minor = 0] = bytes.slice(firmwareAt - tradeNumberAt);
  const serial = part(serialAt, endsAt);
  const trade = part(tradeNumberAt, firmwareAt);
  const firmware = `${major}.${minor}`;
  return {
    maker: '',
    model: '',
    serial,
    firmware,
    raw: `trade number ${trade}, firmware ${firmware}, serial number ${serial}`,
  };
}

/** Empty where nothing was written: all ones, or all zeros. */
function wholeNumber(bytes: readonly number[]): string {
  if (bytes.every((byte) => byte === 0xff)) return '';
  const value = bytes.reduce((sum, byte) => 256n * sum + BigInt(byte), 0n);
  return value === 0n ? '' : String(value);
}
