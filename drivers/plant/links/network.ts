import type { Departure } from '../../../harness/bench/ports.ts';
import type { DatagramPort } from '../../transport/datagram-port.ts';
import type { LampSide } from '../lamp-side.ts';
import { MessageFates } from './message-fates.ts';
import type { SacnInput } from './sacn-input.ts';
import type { LinkTraits } from './traits.ts';

/** Seconds of a datagram's way through the network. */
const networkTime = 0.2e-3;

/** A network with the lamp's interface at its other end. */
export class Network implements DatagramPort {
  readonly broken = false;
  readonly congested = false;
  readonly #side: LampSide;
  readonly #input: SacnInput;
  readonly #fates: MessageFates;
  /** Instant at which the last datagram is there, s. */
  #arrived = 0;

  constructor(side: LampSide, traits: LinkTraits, input: SacnInput) {
    this.#side = side;
    this.#input = input;
    this.#fates = new MessageFates(traits, 'sacn');
  }

  send(datagram: Uint8Array): void {
    const { clock } = this.#side;
    const { lost, late } = this.#fates.next();
    this.#arrived = clock.now() + networkTime;
    this.#side.heard?.({ kind: 'sacn', at: this.#arrived, datagram: [...datagram] });
    if (!lost) clock.schedule(this.#arrived + late, () => this.#input.receive(datagram));
  }

  ready(): Promise<void> {
    return Promise.resolve();
  }

  free(): Promise<void> {
    return Promise.resolve();
  }

  async sent(signal: AbortSignal): Promise<Departure> {
    const arrived = this.#arrived;
    await this.#side.clock.waitUntil(arrived, signal);
    return { began: arrived - networkTime, lasted: networkTime };
  }

  close(): Promise<void> {
    return Promise.resolve();
  }
}
