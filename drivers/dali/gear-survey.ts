import type { Identity } from '../../harness/bench/ports.ts';
import { askAgain, type BackwardAnswer } from './asked-again.ts';
import { addressByte, commandFrame, type DaliAddress, type ForwardFrame } from './frame.ts';
import { opcode, special } from './opcodes.ts';

/** How a survey speaks to the bus. */
export interface Bus {
  send(frame: ForwardFrame): Promise<void>;
  sendTwice(frame: ForwardFrame): Promise<void>;
  /** The backward frame, `collision` where it is none, or null for silence. */
  ask(frame: ForwardFrame): Promise<BackwardAnswer>;
}

/** The gear that answered at a short address. */
export type Survey =
  | { readonly found: 'nobody' | 'several' }
  /** Frames do not arrive as they should. */
  | { readonly found: 'unclear'; readonly words: string }
  | { readonly found: 'one'; readonly identity: Identity | null };

const highestRandom = 0xffffff;
/** A lost frame looks like another gear: what is found once only is asked for again. */
const rounds = 3;

/**
 * Asks who is at a short address: whether gear is there, whether it is one (its random address is the only one that COMPARE
 * finds, so that a bridge which cannot see collisions is not needed), and what its memory bank 0 says of it. Leaves DTR0
 * and DTR1 changed. IEC 62386-102: 9.10 memory banks and 9.14 addressing, from memory.
 */
export async function surveyGear(bus: Bus, short: number): Promise<Survey> {
  const address: DaliAddress = { to: 'short', address: short };
  const present = await steady(bus, commandFrame(address, opcode.queryGearPresent));
  if (present === 'collision') return { found: 'several' };
  if (present === null) return { found: 'nobody' };
  const company: Company[] = [];
  for (let round = 0; round < rounds; round++) {
    const found = await companyOf(round === 0 ? bus : doubling(bus), short);
    if (found === 'alone') return readBank0(bus, address);
    if (company.at(-1) === found) return { found: 'several' };
    company.push(found);
  }
  return unclear(`at short address ${short} there was ${company.join(', then ')}`);
}

function unclear(words: string): Survey {
  return { found: 'unclear', words };
}

/** Each frame once more, which changes nothing: where frames are lost, one of two arrives. */
function doubling(bus: Bus): Bus {
  const again = (act: Bus['send']) => async (frame: ForwardFrame) => {
    await act(frame);
    await act(frame);
  };
  return { ask: bus.ask, send: again(bus.send), sendTwice: again(bus.sendTwice) };
}

type Company =
  | 'alone'
  | 'nobody of its random address'
  | 'another gear beside it'
  | 'a garbled answer';

async function companyOf(bus: Bus, short: number): Promise<Company> {
  const random = await readRandom(bus, { to: 'short', address: short });
  if (random === 'collision') return 'a garbled answer';
  return random === null ? 'alone' : compared(bus, short, random);
}

/** Null for gear that has none. */
async function readRandom(bus: Bus, address: DaliAddress): Promise<BackwardAnswer> {
  let random = 0;
  for (const code of [opcode.queryRandomHigh, opcode.queryRandomMiddle, opcode.queryRandomLow]) {
    const byte = await steady(bus, commandFrame(address, code));
    if (typeof byte !== 'number') return byte;
    random = 256 * random + byte;
  }
  return random;
}

/** What two gears answer at once reads as the lower bits of both: then nobody, or somebody else, is found there. */
async function compared(bus: Bus, short: number, random: number): Promise<Company> {
  await bus.sendTwice([special.initialise, addressByte({ to: 'short', address: short }, 1)]);
  try {
    await search(bus, random);
    if (!(await anybody(bus))) return 'nobody of its random address';
    await bus.send([special.withdraw, 0]);
    await search(bus, highestRandom);
    return (await anybody(bus)) ? 'another gear beside it' : 'alone';
  } finally {
    await bus.send([special.terminate, 0]);
  }
}

/** Several may answer, and collide. */
async function anybody(bus: Bus): Promise<boolean> {
  const { answer } = await askAgain(() => bus.ask([special.compare, 0]));
  return answer !== null;
}

/** An answer that comes whole in the end. */
async function steady(bus: Bus, frame: ForwardFrame): Promise<BackwardAnswer> {
  return (await askAgain(() => bus.ask(frame))).answer;
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

/** What was read of it; `whole` where it is proved to have come in order. */
async function readBytes(
  bus: Bus,
  address: DaliAddress,
): Promise<{ readonly bytes: readonly number[]; readonly whole: boolean }> {
  await bus.send([special.dtr1, 0]);
  await bus.send([special.dtr0, tradeNumberAt]);
  const bytes: number[] = [];
  for (let at = tradeNumberAt; at < endsAt; at++) {
    const byte = await readByte(bus, address, at);
    if (typeof byte !== 'number') return { bytes, whole: false };
    bytes.push(byte);
  }
  // Each byte moves DTR0 on: a frame that was lost would stop it short of here.
  const next = await steady(bus, commandFrame(address, opcode.queryDtr0));
  const bank = await steady(bus, commandFrame(address, opcode.queryDtr1));
  return { bytes, whole: next === endsAt && bank === 0 };
}

/** Reading moves DTR0 on, whether the answer arrives or not: it is set anew before the byte is read again. */
async function readByte(bus: Bus, address: DaliAddress, at: number): Promise<BackwardAnswer> {
  let first = true;
  const { answer } = await askAgain(async () => {
    if (!first) await bus.send([special.dtr0, at]);
    first = false;
    return bus.ask(commandFrame(address, opcode.readMemory));
  });
  return answer;
}

/** No identity where gear has no such bank. */
async function readBank0(bus: Bus, address: DaliAddress): Promise<Survey> {
  for (let round = 0; round < rounds; round++) {
    const { bytes, whole } = await readBytes(bus, address);
    if (whole) return { found: 'one', identity: identityIn(bytes) };
    if (bytes.length === 0) return { found: 'one', identity: null };
  }
  return unclear(`its memory bank 0 could not be read in order in ${rounds} tries`);
}

function identityIn(bytes: readonly number[]): Identity {
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
