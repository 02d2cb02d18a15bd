import { setTimeout as wait } from 'node:timers/promises';
import type { ConsoleLink } from '../../../harness/bench/lamp.ts';
import { ConsoleWire } from '../links/console-wire.ts';
import { Behind } from './behind.ts';
import type { LivePlant } from './live-plant.ts';
import type { Troubles } from './trouble.ts';
import { replyTroubles, sendReply } from './troubled-reply.ts';

/** Bytes without an end of line that are kept. */
const longestRest = 4096;
/** ms that the lamp's own page waits for an answer. */
const pageWait = 1000;
const stranger = 'Evenfall, another lamp, EM-0000, 9\r\n';

/** Where answers go. */
export interface ConsoleStream {
  readonly destroyed: boolean;
  write(bytes: Uint8Array): boolean;
  resetAndDestroy?(): unknown;
}

interface Talker {
  readonly stream: ConsoleStream;
  rest: string;
  /** Answers go out one after another. */
  sending: Promise<void>;
  posing: boolean;
  readonly behind: Behind;
}

/**
 * The lamp's console with several plugs (terminal, TCP, the lamp's own page): whole lines go to the firmware at the
 * line's baud rate, and what it says then goes to whoever sent the last one.
 */
export class LampConsole {
  readonly link: ConsoleLink;
  readonly #name: string;
  readonly #live: LivePlant;
  readonly #troubles: Troubles;
  /** Unplugs everything. */
  readonly #vanish: () => void;
  #talker: Talker | null = null;
  #heard: number[] = [];
  readonly #wire: ConsoleWire;

  constructor(
    name: string,
    link: ConsoleLink,
    live: LivePlant,
    troubles: Troubles,
    vanish: () => void,
  ) {
    this.#name = name;
    this.link = link;
    this.#live = live;
    this.#troubles = troubles;
    this.#vanish = vanish;
    this.#wire = new ConsoleWire(live.side, live.model.links, link.baud);
    live.side.listen((from, byte) => {
      if (from === 'console') this.#hear(byte);
    });
  }

  /** Plugs a stream in; hand every byte that it receives to the result. */
  plug(stream: ConsoleStream): (bytes: Uint8Array) => void {
    const talker: Talker = {
      stream,
      rest: '',
      sending: Promise.resolve(),
      posing: false,
      behind: new Behind(),
    };
    return (bytes) => {
      const lines = (talker.rest + Buffer.from(bytes).toString('latin1')).split(/[\r\n]/);
      talker.rest = (lines.pop() ?? '').slice(0, longestRest);
      for (const line of lines) if (line !== '') void this.#say(line, talker);
    };
  }

  /** One line from the lamp's own page; its answer, or null where none comes. */
  ask(line: string): Promise<string | null> {
    return new Promise((resolve) => {
      const timer = setTimeout(() => resolve(null), pageWait);
      const write = (bytes: Uint8Array): boolean => {
        clearTimeout(timer);
        resolve(Buffer.from(bytes).toString('latin1').trim());
        return true;
      };
      this.plug({ destroyed: false, write })(Buffer.from(`${line}\n`));
    });
  }

  async #say(line: string, talker: Talker): Promise<void> {
    const trouble = this.#troubles.strike(this.#name, ['reset', 'vanish']);
    if (trouble?.kind === 'reset') talker.stream.resetAndDestroy?.();
    if (trouble?.kind === 'vanish') this.#vanish();
    if (trouble) return;
    talker.posing =
      line.trim() === this.link.identify &&
      this.#troubles.strike(this.#name, ['identity']) !== null;
    const heldUp = this.#troubles.strike(this.#name, ['held-up']);
    if (heldUp) await wait(heldUp.seconds * 1000);
    await this.#live.catchUp();
    const lossy = this.#troubles.strike(this.#name, ['lost-digit']);
    const heard = lossy ? line.replace(/(\d)\d/, '$1') : line;
    this.#wire.send(Buffer.from(`${heard}\n`, 'latin1'), () => this.#listenFor(talker));
  }

  #listenFor(talker: Talker): void {
    this.#talker = talker;
    this.#heard = [];
  }

  #hear(byte: number): void {
    this.#heard.push(byte);
    if (byte !== 0x0a && this.#heard.length < longestRest) return;
    const spoken = Uint8Array.from(this.#heard);
    this.#heard = [];
    const talker = this.#talker;
    if (!talker) return;
    const said = talker.posing ? Buffer.from(stranger) : spoken;
    const reply = this.#troubles.strike(this.#name, ['capitals'])
      ? Buffer.from(Buffer.from(said).toString('latin1').toUpperCase(), 'latin1')
      : said;
    const trouble = this.#troubles.strike(this.#name, replyTroubles);
    const struck = this.#troubles.strike(this.#name, ['behind']) !== null;
    const shown = talker.behind.take(reply, struck);
    if (shown) talker.sending = talker.sending.then(() => sendReply(talker.stream, shown, trouble));
  }
}
