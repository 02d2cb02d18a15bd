import type { Answered, Heard, HeardStory } from '../../harness/bench/heard.ts';
import { HeardLog } from '../heard-log.ts';
import type { Simulation } from './simulation.ts';

interface Byte {
  readonly at: number;
  readonly byte: number;
}

/** A lamp that logs all the time says so much within minutes. */
const mostBytes = 1_000_000;

/** What arrived at the simulated lamp, and what it said to it: every byte of it is listened to. */
export class LampLog {
  readonly #log = new HeardLog();
  readonly #said = { console: [] as Byte[], dali: [] as Byte[] };
  #count = 0;

  constructor(simulation: Simulation) {
    simulation.listen((link, byte, at) => {
      if (link === 'dmx' || this.#count > mostBytes) return;
      this.#said[link].push({ at, byte });
      this.#count++;
    });
  }

  tell(event: Heard): void {
    this.#log.tell(event);
  }

  /** Null where it was too much to keep. */
  until(now: number): HeardStory | null {
    if (this.#count > mostBytes) return null;
    const heard = this.#log.until(now);
    return heard && { heard, answered: [...this.#bytes(heard), ...this.#lines(heard)] };
  }

  /** One backward frame, before the next frame is over. */
  #bytes(heard: readonly Heard[]): Answered[] {
    return stretches(heard, 'dali', this.#said.dali).map(({ at, bytes: [byte = null] }) => {
      return { kind: 'dali', at, byte };
    });
  }

  #lines(heard: readonly Heard[]): Answered[] {
    return stretches(heard, 'console', this.#said.console).map(({ at, bytes }) => {
      const lines = Buffer.from(bytes).toString('latin1').split('\n');
      return { kind: 'console', at, lines: lines.map((line) => line.trim()).filter(Boolean) };
    });
  }
}

/** What the lamp said from each message of a link to the next one. */
function stretches(
  heard: readonly Heard[],
  kind: 'console' | 'dali',
  said: readonly Byte[],
): { readonly at: number; readonly bytes: number[] }[] {
  const questions = heard.filter((event) => event.kind === kind);
  let place = 0;
  const until = (end: number): number[] => {
    const bytes: number[] = [];
    for (let next = said[place]; next && next.at < end; next = said[place]) {
      bytes.push(next.byte);
      place++;
    }
    return bytes;
  };
  // What it says before it is asked is no answer.
  until(questions[0]?.at ?? 0);
  return questions.map(({ at }, index) => {
    return { at, bytes: until(questions[index + 1]?.at ?? Number.POSITIVE_INFINITY) };
  });
}
