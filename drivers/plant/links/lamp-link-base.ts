import { BenchError } from '../../../harness/bench/errors.ts';
import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Call, Identity } from '../../../harness/bench/ports.ts';
import type { LinkPort } from '../link-port.ts';
import type { LampLinkParts } from './lamp-link-parts.ts';
import type { LinkTraits } from './traits.ts';

/** What the simulated links have in common: a name, closing, waiting on the virtual clock. */
export class LampLinkBase {
  readonly kind = 'lamp-link';
  readonly driver = 'plant';
  readonly name: string;
  readonly link: string;
  protected readonly lamp: Lamp;
  protected readonly port: LinkPort;
  protected readonly traits: LinkTraits;
  readonly #closing = new AbortController();
  #joined: { readonly of: AbortSignal; readonly both: AbortSignal } | null = null;
  #messages = 0;

  constructor({ name, lamp, port, traits }: LampLinkParts, link: string) {
    this.name = name;
    this.link = link;
    this.lamp = lamp;
    this.port = port;
    this.traits = traits;
  }

  async identify(call: Call): Promise<Identity> {
    this.open(call);
    const model = `simulated ${this.link} interface`;
    return { maker: 'Evenfall', model, serial: '0', firmware: '0', raw: `Evenfall, ${model}` };
  }

  async carry(_on: boolean, call: Call): Promise<void> {
    this.open(call);
    throw this.error('unsupported', 'its signal cannot be stopped; only dmx, sacn and dali can');
  }

  async reset(call: Call): Promise<void> {
    this.open(call);
    this.port.reset(this.port.time.now());
  }

  close(): Promise<void> {
    // With a reason: an exception with its stack is dear, and every condition closes its bench.
    this.#closing.abort('closed');
    return Promise.resolve();
  }

  protected get closed(): boolean {
    return this.#closing.signal.aborted;
  }

  /** Throws unless the link is open and the call is still wanted. */
  protected open({ signal }: Call): void {
    if (this.closed) throw this.error('closed', 'it was closed before');
    if (signal.aborted) throw this.error('cancelled', 'the call was cancelled before it began');
  }

  protected async until(instant: number, { signal }: Call): Promise<void> {
    try {
      await this.port.time.waitUntil(instant, this.#orClosing(signal));
    } catch (error) {
      if (this.closed) throw this.error('closed', 'it was closed while a message was under way');
      throw error;
    }
  }

  /** One for all calls of a condition: a joined signal is dear, and as many as calls weigh on the collector. */
  #orClosing(signal: AbortSignal): AbortSignal {
    if (this.#joined?.of !== signal) {
      this.#joined = { of: signal, both: AbortSignal.any([signal, this.#closing.signal]) };
    }
    return this.#joined.both;
  }

  /** Whether the next message gets through, and how late. */
  protected nextMessage(): { readonly lost: boolean; readonly late: number } {
    const index = this.#messages++;
    return {
      lost: this.traits.loses(index, this.link),
      late: this.traits.latency(index, this.link),
    };
  }

  protected error(kind: BenchError['kind'], why: string): BenchError {
    return new BenchError(kind, this.name, `${this.link} link ${this.name}: ${why}`);
  }
}
