import fc, { type Arbitrary } from 'fast-check';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { dtr, send } from './dali-send.ts';
import { type Act, byte, inTurn, mostly, oneOfActs } from './values.ts';

const unlocked = 0x55;
const lockAt = 2;

/** Memory banks of a gear: read to their ends and beyond, written locked and unlocked, enabled and not (IEC 62386-102 9.10, from memory). */
export function memoryActs(banks: readonly number[]): Arbitrary<Act> {
  const bank = dtr('dtr1', mostly([0, 1, ...banks], byte));
  const place = dtr('dtr0', mostly([0, 2, 3, 16, 254, 255], byte));
  const read = fc.constant(send('read-memory'));
  const register = fc.constant(send('query-dtr0'));
  const write = byte.map((value) => send('write-memory', { value }));
  const enable = fc.constant(send('enable-write-memory'));
  const lock = (value: number): Act => [
    send('dtr1', { value: 1 }),
    send('dtr0', { value: lockAt }),
    send('enable-write-memory'),
    send('write-memory', { value }),
  ];
  const behindLock = dtr('dtr0', fc.integer({ min: 3, max: 16 }));
  const other: Arbitrary<WrittenStep> = fc
    .constantFrom('query-status', 'recall-max')
    .map((name) => send(name));
  return oneOfActs([
    [2, inTurn(bank, place, read, register)],
    [2, inTurn(bank, place, read, read, register)],
    [1, fc.constant(lastPlace)],
    ...(banks.includes(1) ? ([[2, luminaire(1, 0x15, 0x21)]] as const) : []),
    ...(banks.includes(207) ? ([[1, luminaire(207, 4, 7)]] as const) : []),
    [2, inTurn(bank, place, enable, write, register)],
    [2, inTurn(bank, place, write)],
    [2, inTurn(fc.constant(lock(unlocked)), behindLock, write, behindLock, read)],
    [2, inTurn(fc.constantFrom(lock(0), lock(unlocked - 1), lock(255)), behindLock, write)],
    [2, inTurn(fc.constant(lock(unlocked)), fc.constant(lock(0)), behindLock, write)],
    [1, inTurn(fc.constant(lock(unlocked)), other, behindLock, write)],
  ]);
}

/** Nothing lies behind the last place of a bank, and DTR0 stays there. */
const lastPlace: Act = [
  send('dtr1', { value: 0 }),
  send('dtr0', { value: 255 }),
  send('read-memory'),
  send('query-dtr0'),
];

/** Some of what the lamp file says of the luminaire, as it stands in the bank (IEC 62386-251 and -253, from memory). */
function luminaire(bank: number, first: number, last: number): Arbitrary<Act> {
  return fc
    .integer({ min: first, max: last })
    .map((place) => [
      send('dtr1', { value: bank }),
      send('dtr0', { value: place }),
      ...Array.from({ length: 4 }, () => send('read-memory')),
    ]);
}
