import { BenchError, type BenchErrorKind } from '../harness/bench/errors.ts';
import type { Lamp } from '../harness/bench/lamp.ts';
import { type LinkFacts, type LinkName, links } from '../harness/bench/links.ts';
import type { Call, RawMessage } from '../harness/bench/ports.ts';
import type { DriverClock } from './driver-clock.ts';
import type { SendListener } from './sent-log.ts';
import { withDeadline } from './transport/with-deadline.ts';

/** What every link is made of, beside the transport that carries it. */
export interface LinkParts {
  /** Instrument's name in the rig file. */
  readonly name: string;
  /** Driver's name in the rig file. */
  readonly driver: string;
  readonly lamp: Lamp;
  readonly clock: DriverClock;
  /** Pulls the lamp's reset pin, where the bench is wired to it. */
  readonly pullReset?: () => void;
  /** Who is told of everything that is sent. */
  readonly log?: SendListener | undefined;
}

/** The messages of one link. */
type MessageOn<Name, Message = RawMessage> = Message extends { readonly link: infer Link }
  ? Name extends Link
    ? Message
    : never
  : never;

/** What the links to a lamp have in common: deadlines and closing, and the refusal of what a link cannot do. */
export abstract class LinkBase<Name extends LinkName> {
  readonly kind = 'lamp-link';
  readonly name: string;
  readonly driver: string;
  readonly link: Name;
  protected readonly lamp: Lamp;
  protected readonly clock: DriverClock;
  protected readonly log: SendListener | undefined;
  readonly #facts: LinkFacts;
  readonly #pullReset: (() => void) | undefined;
  readonly #closing = new AbortController();
  #closed: Promise<void> | null = null;

  constructor({ name, driver, lamp, clock, pullReset, log }: LinkParts, link: Name) {
    this.name = name;
    this.driver = driver;
    this.link = link;
    this.lamp = lamp;
    this.clock = clock;
    this.log = log;
    this.#facts = links[link];
    this.#pullReset = pullReset;
  }

  get tells(): boolean {
    return this.log !== undefined;
  }

  async carry(_on: boolean, _call: Call): Promise<void> {
    throw this.error('unsupported', 'it has no signal that could be stopped');
  }

  async reset(call: Call): Promise<void> {
    const pull = this.#pullReset;
    if (!pull)
      throw this.error('unsupported', 'it has no message that restarts a lamp; use its console');
    await this.within(call, async () => pull());
  }

  close(): Promise<void> {
    // With a reason: an exception with its stack is dear, and every simulated condition closes its bench.
    this.#closing.abort('closed');
    this.#closed ??= this.release();
    return this.#closed;
  }

  /** Gives the transport back. Never rejects; what is under way has been told to end. */
  protected abstract release(): Promise<void>;

  /** Does `work` within the call's deadline, unless the link is closed or the call cancelled. */
  protected within<T>(call: Call, work: (signal: AbortSignal) => Promise<T>): Promise<T> {
    return withDeadline(this.name, call, this.#closing.signal, work, this.clock);
  }

  /** Throws unless the message is one of this link. */
  protected checkOwn(message: RawMessage): asserts message is RawMessage & MessageOn<Name> {
    if (message.link !== this.link)
      throw this.error(
        'unsupported',
        `it carries ${this.#facts.messages ?? 'no messages'}, not a ${message.link} message`,
      );
  }

  protected error(kind: BenchErrorKind, why: string): BenchError {
    return new BenchError(kind, this.name, `${this.#facts.title} link ${this.name}: ${why}`);
  }
}
