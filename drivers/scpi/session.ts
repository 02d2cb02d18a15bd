import { BenchError, type BenchErrorKind } from '../../harness/bench/errors.ts';
import type { Call, Clock, Identity } from '../../harness/bench/ports.ts';
import { plainLine } from '../../harness/files/plain-text.ts';
import { sleep } from '../real-clock.ts';
import type { BytePort } from '../transport/byte-port.ts';
import { ByteReader, type FindEnd } from '../transport/byte-reader.ts';
import { Mutex } from '../transport/mutex.ts';
import { settledOrTimeout, withDeadline } from '../transport/with-deadline.ts';
import type { SessionProfile } from './profile-schema.ts';
import { blockData, blockReply, textReply } from './replies.ts';

/** Seconds without a byte after which nothing more is on its way from before. */
const quiet = 0.03;
/** Seconds that a system may take to give a port back. */
const release = 1;
const powerOn = -500;
/** A refusal in order leaves the conversation in step; anything else does not. */
const inStep: readonly BenchErrorKind[] = ['unsupported', 'refused', 'overload'];

interface Connection {
  readonly port: BytePort;
  readonly reader: ByteReader;
}

/** The exchanges of one turn with the instrument. */
export interface Talk {
  tell(message: string): Promise<void>;
  ask(query: string): Promise<string>;
  askBlock(query: string): Promise<Buffer>;
  /** Sends set-up messages, then reads the error queue until it is empty. */
  setUp(messages: readonly string[]): Promise<void>;
  readonly signal: AbortSignal;
}

/**
 * A conversation with a SCPI instrument. After anything that went wrong in it, a reply may still be on its way and would
 * be taken for the answer to the next query; so the connection is dropped, and the next call makes a new one, waits until
 * the line is quiet and compares the identity before it says anything else.
 */
export class ScpiSession {
  readonly #name: string;
  readonly #connect: (signal: AbortSignal) => Promise<BytePort>;
  readonly #profile: SessionProfile;
  readonly #mutex = new Mutex();
  readonly #closing = new AbortController();
  #connection: Connection | null = null;
  /** A serial port stays locked until it has been closed. */
  #gone: Promise<void> = Promise.resolve();
  /** What it said of itself at first. */
  #identity: string | null = null;
  /**
   * Whether it was asked something in this turn, and whether its error queue was read, or its identity: what it says there is
   * no answer to anything else. Without that each answer may be the one to the question before.
   */
  #asked = false;
  #inStep = false;

  constructor(
    name: string,
    profile: SessionProfile,
    connect: (signal: AbortSignal) => Promise<BytePort>,
  ) {
    this.#name = name;
    this.#profile = profile;
    this.#connect = connect;
  }

  /** A turn of the conversation, within the call's deadline; nobody else talks meanwhile. */
  use<T>(call: Call, work: (talk: Talk) => Promise<T>): Promise<T> {
    return withDeadline(this.#name, call, this.#closing.signal, (signal) =>
      this.#mutex.run(signal, () => this.#turn(signal, work)),
    );
  }

  async identify(call: Call): Promise<Identity> {
    const reply = await this.use(call, async ({ ask }) => {
      const found = await ask(this.#profile.identify);
      this.#compare(found);
      return found;
    });
    return readIdentity(reply);
  }

  get name(): string {
    return this.#name;
  }

  get closing(): AbortSignal {
    return this.#closing.signal;
  }

  close(): Promise<void> {
    this.#closing.abort();
    this.#drop();
    const free = this.#mutex.released.then(() => this.#gone);
    return settledOrTimeout(release, free);
  }

  error(kind: BenchErrorKind, why: string, cause?: unknown): BenchError {
    return new BenchError(kind, this.#name, `${this.#name}: ${why}`, { cause });
  }

  async #turn<T>(signal: AbortSignal, work: (talk: Talk) => Promise<T>): Promise<T> {
    // A write that hangs ends only with its port.
    const drop = (): void => this.#drop();
    signal.addEventListener('abort', drop, { once: true });
    try {
      const connection = await this.#connected(signal);
      const talk = this.#talk(connection, signal);
      this.#asked = false;
      this.#inStep = false;
      const result = await work(talk);
      if (this.#asked && !this.#inStep) this.#compare(await talk.ask(this.#profile.identify));
      return result;
    } catch (error) {
      if (!(error instanceof BenchError && inStep.includes(error.kind))) this.#drop();
      throw error;
    } finally {
      signal.removeEventListener('abort', drop);
    }
  }

  async #connected(signal: AbortSignal): Promise<Connection> {
    const held = this.#connection;
    if (held && !held.reader.gone) return held;
    this.#drop();
    await this.#gone;
    signal.throwIfAborted();
    const port = await this.#connect(signal);
    const connection = { port, reader: new ByteReader(port) };
    this.#connection = connection;
    if (signal.aborted) this.#drop();
    await this.#calm(connection, signal);
    await this.#recognise(connection, signal);
    const talk = this.#talk(connection, signal);
    for (const message of this.#profile.open) await talk.tell(message);
    await this.#errors(talk);
    return connection;
  }

  /** Waits until nothing arrives any more, and forgets what did. */
  async #calm({ reader }: Connection, signal: AbortSignal): Promise<void> {
    do {
      reader.discard();
      await sleep(quiet, signal);
      signal.throwIfAborted();
    } while (reader.waiting > 0);
  }

  async #recognise(connection: Connection, signal: AbortSignal): Promise<void> {
    const { identify, errors } = this.#profile;
    const talk = this.#talk(connection, signal);
    const found = await talk.ask(identify);
    const first = this.#identity === null;
    this.#compare(found);
    // Whatever the queue holds from before the run is not ours.
    if (first && errors) await this.#readQueue(talk, errors);
  }

  /** Keeps the first identity, and holds every later one against it. */
  #compare(found: string): void {
    if (!isIdentity(found))
      throw this.error(
        'garbled',
        `it says that it is "${found.slice(0, 60)}"; expected printable characters`,
      );
    this.#identity ??= found;
    if (found !== this.#identity)
      throw this.error(
        'identity-mismatch',
        `"${found}" answered, but before it was "${this.#identity}"; is another instrument at its address, or are its replies out of step?`,
      );
  }

  #talk({ port, reader }: Connection, signal: AbortSignal): Talk {
    const tell = async (message: string): Promise<void> => {
      if (reader.waiting > 0)
        throw this.error(
          'garbled',
          `it sent "${plainLine(reader.discard().toString('latin1').slice(0, 60))}" unasked, before "${message}"; its replies are out of step`,
        );
      await port.write(Buffer.from(`${message}\n`, 'latin1'));
    };
    const reply = async (query: string, end: FindEnd): Promise<Buffer> => {
      await tell(query);
      try {
        return await reader.take(end, signal);
      } catch (error) {
        if (!(error instanceof RangeError)) throw error;
        throw this.error('garbled', `it answered "${query}" with ${error.message}`, error);
      }
    };
    const ask = async (query: string): Promise<string> => {
      const answer = plainLine((await reply(query, textReply)).toString('latin1'));
      const { identify, errors } = this.#profile;
      if (query === identify || query === errors?.query) this.#inStep = true;
      else this.#asked = true;
      return answer;
    };
    const askBlock = async (query: string): Promise<Buffer> =>
      blockData(await reply(query, blockReply));
    const talk: Talk = {
      tell,
      ask,
      askBlock,
      signal,
      setUp: async (messages) => {
        for (const message of messages) await tell(message);
        await this.#errors(talk, messages);
      },
    };
    return talk;
  }

  /** Throws what the error queue holds. */
  async #errors(talk: Talk, after: readonly string[] = this.#profile.open): Promise<void> {
    const { errors: queue } = this.#profile;
    const found = queue ? await this.#readQueue(talk, queue) : [];
    if (found.length === 0) return;
    if (found.some(({ code }) => code === powerOn))
      throw this.error(
        'closed',
        'it was switched off and on in between (error -500); its settings and this record are lost',
      );
    const errors = found.map(({ text }) => text).join('; ');
    const sent = after.map((each) => `"${each}"`).join(', ');
    throw this.error('refused', `it reports errors after ${sent}: ${errors}`);
  }

  /** Reads the error queue until it is empty. */
  async #readQueue(
    talk: Talk,
    { query, most }: NonNullable<SessionProfile['errors']>,
  ): Promise<{ readonly code: number; readonly text: string }[]> {
    const found: { readonly code: number; readonly text: string }[] = [];
    for (let count = 0; count < most; count++) {
      const text = await talk.ask(query);
      const code = /^([+-]?\d{1,5})\s*(?:,|$)/.exec(text)?.[1];
      if (code === undefined)
        throw this.error(
          'garbled',
          `it answered "${query}" with "${text.slice(0, 60)}"; expected an error number`,
        );
      if (Number(code) === 0) return found;
      found.push({ code: Number(code), text });
    }
    throw this.error('garbled', `its error queue is not empty after ${most} errors`);
  }

  #drop(): void {
    const held = this.#connection;
    this.#connection = null;
    if (held) this.#gone = held.port.close();
  }
}

const monotonic = { now: () => performance.now() / 1000 };

/** A query that is repeated; how long from look to look, s. */
export interface Poll {
  readonly query: string;
  /** Answers that end the wait, or the bit of a status register (IEEE 488.2, 11.1: a decimal number) that does. */
  readonly is: readonly string[] | { readonly bit: number; readonly value: 0 | 1 };
  readonly every: number | (() => number);
}

/** Between which instants an answer changed to the one that ended a wait, on the clock, s. */
export interface Reached {
  /** Just before the last query that was answered otherwise; null where the first one was not. */
  readonly notYet: number | null;
  /** When the answer had come. */
  readonly reached: number;
}

/** Asks again and again until the answer is one that ends the wait. */
export async function pollUntil(
  { ask, signal }: Talk,
  { query, is, every }: Poll,
  clock: Pick<Clock, 'now'> = monotonic,
): Promise<Reached> {
  let notYet: number | null = null;
  for (;;) {
    const asked = clock.now();
    if (endsWait(is, await ask(query))) return { notYet, reached: clock.now() };
    notYet = asked;
    await sleep(typeof every === 'number' ? every : every(), signal);
    signal.throwIfAborted();
  }
}

/** Whether an answer is one that ends the wait. */
export function endsWait(is: Poll['is'], answer: string): boolean {
  if (!('bit' in is)) return is.includes(answer);
  const status = Number(answer);
  // What is no number is no status: the wait goes on, to its deadline.
  if (!/^\s*[+-]?\d/.test(answer) || !Number.isInteger(status)) return false;
  return Math.floor(status / 2 ** is.bit) % 2 === is.value;
}

/** Printable ASCII (IEEE 488.2, 10.14); how many fields there are differs in practice. */
function isIdentity(text: string): boolean {
  return /^[\x20-\x7e]+$/.test(text);
}

/** The reply to `*IDN?`: four fields, more or fewer in practice, sometimes with its header before them. */
function readIdentity(reply: string): Identity {
  const fields = reply.replace(/^\*IDN\s+/i, '').split(',');
  const [maker = '', model = '', serial = '', firmware = ''] = fields.map((field) => field.trim());
  return { maker, model, serial, firmware, raw: reply };
}
