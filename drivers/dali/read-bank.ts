import type { SelfReport, Unsaid } from '../../harness/bench/ports.ts';
import { type BankPlace, decodeBank, spanOf } from './bank-places.ts';
import { commandFrame, type DaliAddress } from './frame.ts';
import type { Bus } from './gear-survey.ts';
import { opcode, special } from './opcodes.ts';

/** One time through the locations. `absent`: silence, although the registers say that the gear heard it all. */
type Reading =
  | {
      readonly is: 'whole';
      readonly bytes: readonly number[];
      readonly from: number;
      readonly to: number;
    }
  | { readonly is: 'absent' }
  | { readonly is: 'lost' };

/** Times through the locations, until two of them agree. */
const tries = 5;

/**
 * What gear says in its memory banks, read until two readings agree: a bridge may lose a frame either way, and no lamp is to
 * blame for that. After each the gear is asked for DTR0, which moves on with every location: a reading counts only where
 * it stands behind the last one. Null where no two readings agree. IEC 62386-102 9.10, from memory.
 */
export async function readBank(
  bus: Bus,
  address: DaliAddress,
  place: BankPlace,
  { now, agree }: { now(): number; agree(first: number, second: number): boolean },
): Promise<SelfReport | Unsaid | null> {
  let former: Reading = { is: 'lost' };
  for (let turn = 0; turn < tries; turn++) {
    const reading = await readOnce(bus, address, place, now);
    if (reading.is === 'absent' && former.is === 'absent')
      return { refused: `has no bank ${place.bank}, or nothing at location ${place.at} of it` };
    if (reading.is === 'whole' && former.is === 'whole') {
      const [first, second] = [decodeBank(place, former.bytes), decodeBank(place, reading.bytes)];
      if ('refused' in second) {
        if ('refused' in first) return second;
      } else if (!('refused' in first) && agree(first.value, second.value))
        return { ...second, from: reading.from, to: reading.to };
    }
    former = reading;
  }
  return null;
}

/** Multi-byte values are latched as their first byte is read (from memory): that is the instant that they are of. */
async function readOnce(
  bus: Bus,
  address: DaliAddress,
  place: BankPlace,
  now: () => number,
): Promise<Reading> {
  const { from, length } = spanOf(place);
  await bus.send([special.dtr1, place.bank]);
  await bus.send([special.dtr0, from]);
  const bytes: number[] = [];
  const latched = { from: 0, to: 0 };
  for (let index = 0; index < length; index++) {
    const asked = now();
    const byte = await bus.ask(commandFrame(address, opcode.readMemory));
    if (from + index === place.at) Object.assign(latched, { from: asked, to: now() });
    if (byte === null) break;
    if (byte === 'collision') return { is: 'lost' };
    bytes.push(byte);
  }
  const reached = await bus.ask(commandFrame(address, opcode.queryDtr0));
  if (bytes.length === length && reached === from + length)
    return { is: 'whole', bytes, ...latched };
  const bank = await bus.ask(commandFrame(address, opcode.queryDtr1));
  // Gear moves on in a bank that it has, also where nothing is, and stays in one that it has not.
  const heard = reached === from + bytes.length || reached === from + bytes.length + 1;
  const silent = bytes.length < length && bank === place.bank && heard;
  return { is: silent ? 'absent' : 'lost' };
}
