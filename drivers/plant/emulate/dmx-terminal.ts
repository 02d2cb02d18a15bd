import { breakTime, markAfterBreak, slotTime } from '../../../harness/bench/dmx-timing.ts';
import { type LampLinks, slotCount } from '../../../harness/bench/lamp.ts';
import { rdmStartCode } from '../../dmx/rdm/rdm-packet.ts';
import { DmxPieces, type LineEvent } from './dmx-pieces.ts';
import type { LivePlant } from './live-plant.ts';
import type { Troubles } from './trouble.ts';
import { replyTroubles, sendReply } from './troubled-reply.ts';

/** Where answers go. */
interface Plug {
  readonly destroyed: boolean;
  write(bytes: Uint8Array): boolean;
}

/**
 * The lamp's DMX512 line on a pseudo-terminal, which carries no break: the zero byte stands for it that an adapter sends slowly
 * (`break: baud-rate`). Answers to RDM go back, behind a zero byte for their
 * break, but for those to discovery, which have none (ANSI E1.20-2010 7.5).
 */
export class DmxTerminal {
  readonly #name: string;
  readonly #live: LivePlant;
  readonly #troubles: Troubles;
  readonly #plug: Plug;
  readonly #pieces: DmxPieces;
  #answer: number[] = [];
  #work: Promise<void> = Promise.resolve();

  constructor(
    name: string,
    dmx: NonNullable<LampLinks['dmx']>,
    { live, troubles }: { readonly live: LivePlant; readonly troubles: Troubles },
    plug: Plug,
  ) {
    this.#name = name;
    this.#live = live;
    this.#troubles = troubles;
    this.#plug = plug;
    this.#pieces = new DmxPieces(dmx.firstSlot + slotCount(dmx, live.lamp.channels.length));
    live.side.listen((link, byte) => {
      if (link === 'dmx') this.#hear(byte);
    });
  }

  /** Bytes as a program writes them. */
  take(piece: Uint8Array): void {
    const events = this.#pieces.take(piece);
    this.#work = this.#work.then(() => this.#deliver(events)).catch(() => {});
  }

  async #deliver(events: readonly LineEvent[]): Promise<void> {
    const { side, clock } = this.#live;
    await this.#live.catchUp();
    let at = clock.now();
    for (const [index, event] of events.entries()) {
      at += event === 'break' ? breakTime + markAfterBreak : slotTime;
      const last = index === events.length - 1;
      if (event === 'break') side.deliver(at, { link: 'dmx', event });
      else side.deliver(at, { link: 'dmx', event: 'byte', byte: event }, last);
    }
  }

  /** An answer comes in one go. */
  #hear(byte: number): void {
    if (this.#answer.push(byte) > 1) return;
    queueMicrotask(() => {
      const answer = this.#answer.splice(0);
      const reply = Uint8Array.from(answer[0] === rdmStartCode ? [0, ...answer] : answer);
      void sendReply(this.#plug, reply, this.#troubles.strike(this.#name, replyTroubles));
    });
  }
}
