import { askAgain, type BackwardAnswer } from './asked-again.ts';
import { commandFrame, type ForwardFrame } from './frame.ts';
import type { Bus } from './gear-survey.ts';
import { opcode, special } from './opcodes.ts';

/** Between them each bit is once 0 and once 1. */
const patterns = [0x55, 0xaa];
/** A frame may be lost: each is tried so often. */
const tries = 2;
/** So many short addresses beside the lamp's are asked; a bus on which each has gear is rare. */
const others = 3;
const addresses = 64;

/**
 * What shows that answers were made up or changed on their way, in a clause; null where nothing does. Asks what nobody answers:
 * COMPARE with no gear in its initialisation, and short addresses beside the lamp's; and has the lamp say what was just written into its DTR0. Leaves
 * DTR0 changed. IEC 62386-102, from memory. A lamp that does not answer proves nothing here.
 */
export async function busDoubt(bus: Bus, short: number): Promise<string | null> {
  const madeUp = await madeUpAnswer(bus, short);
  if (madeUp !== null)
    return `${words(madeUp)} came where nobody answers: to COMPARE with no gear in its initialisation, and from ${others} short addresses beside the lamp’s`;
  const wrong: string[] = [];
  for (const value of patterns) {
    const read = await writtenAndRead(bus, short, value);
    if (read === value || typeof read !== 'number') return null;
    wrong.push(`${words(value)} was written into DTR0 of the lamp and read back as ${words(read)}`);
  }
  return wrong.join(', ');
}

/** A bus that loses one frame in twenty loses one of so many with 95 % (binomial distribution, computed). */
const asked = 60;

/** Whether single queries get lost, in a clause; null where each is answered, or none. */
export async function lossDoubt(bus: Bus, short: number): Promise<string | null> {
  const query = commandFrame({ to: 'short', address: short }, opcode.queryGearPresent);
  let answered = 0;
  for (let turn = 0; turn < asked; turn++)
    if (typeof (await bus.ask(query)) === 'number') answered++;
  if (answered === asked || answered === 0) return null;
  return `${asked - answered} of ${asked} queries whether gear is present brought no answer: frames are lost`;
}

async function madeUpAnswer(bus: Bus, short: number): Promise<BackwardAnswer> {
  const frames: ForwardFrame[] = [[special.compare, 0]];
  for (let next = 1; next <= others; next++)
    frames.push(
      commandFrame({ to: 'short', address: (short + next) % addresses }, opcode.queryGearPresent),
    );
  let answer: BackwardAnswer = null;
  for (const frame of frames) {
    answer = (await askAgain(() => bus.ask(frame))).answer;
    if (answer === null) return null;
  }
  return answer;
}

async function writtenAndRead(bus: Bus, short: number, value: number): Promise<BackwardAnswer> {
  const query = commandFrame({ to: 'short', address: short }, opcode.queryDtr0);
  let read: BackwardAnswer = null;
  for (let turn = 0; turn < tries && read !== value; turn++) {
    await bus.send([special.dtr0, value]);
    read = (await askAgain(() => bus.ask(query))).answer;
  }
  return read;
}

function words(answer: BackwardAnswer): string {
  return typeof answer === 'number' ? `0x${answer.toString(16).padStart(2, '0')}` : 'an answer';
}
