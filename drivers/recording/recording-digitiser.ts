import { BenchError, type BenchErrorKind } from '../../harness/bench/errors.ts';
import type {
  Acquisition,
  Call,
  Clock,
  Digitiser,
  DigitiserCapabilities,
  Identity,
  RawCapture,
} from '../../harness/bench/ports.ts';
import type { RecordedInput } from './recorded-input.ts';

type Setup = Parameters<Digitiser['arm']>[0];

/** How far the rate that is asked for may be from the recorded one: as far as two clocks are apart. */
const sameRate = 1e-3;

/**
 * A digitiser that hands out what was recorded before: every acquisition begins at the start of the files. Nothing is
 * resampled and nothing is made up: another rate, or a longer record than the file holds, is `unsupported`.
 */
export class RecordingDigitiser implements Digitiser {
  readonly kind = 'digitiser';
  readonly driver = 'recording';
  readonly name: string;
  readonly capabilities: DigitiserCapabilities;
  readonly #inputs: ReadonlyMap<string, RecordedInput>;
  readonly #clock: Clock;
  readonly #identity: Identity;
  readonly #closing = new AbortController();

  constructor(
    name: string,
    inputs: readonly RecordedInput[],
    clock: Clock,
    {
      digest,
      acquisition,
    }: { readonly digest: string } & Pick<DigitiserCapabilities, 'acquisition'>,
  ) {
    this.name = name;
    this.#inputs = new Map(inputs.map((each) => [each.input, each]));
    this.#clock = clock;
    this.#identity = {
      maker: 'recording',
      model: inputs.map(({ input }) => input).join(' '),
      serial: digest,
      firmware: '',
      raw: `recording ${digest}`,
    };
    this.capabilities = {
      inputs: inputs.map(({ input }) => input),
      highestRate: Math.max(...inputs.map(({ rate }) => rate)),
      longestRecord: Math.max(...inputs.map(({ samples }) => samples)),
      bits: 24,
      acquisition,
      stored: true,
    };
  }

  async identify(call: Call): Promise<Identity> {
    this.#check(call);
    return this.#identity;
  }

  async arm(setup: Setup, call: Call): Promise<Acquisition> {
    this.#check(call);
    const taken = setup.inputs.map(({ input }) => this.#fitting(input, setup));
    const started = this.#clock.now();
    const finished = this.#wait(started + setup.duration, call).then((): RawCapture[] =>
      taken.map((each) => each.take(samplesOf(setup, each), started)),
    );
    // A record that nobody waits for any more is not an unhandled failure.
    finished.catch(() => {});
    return { started, finished };
  }

  async close(): Promise<void> {
    this.#closing.abort();
  }

  #fitting(input: string, setup: Setup): RecordedInput {
    const found = this.#inputs.get(input);
    if (!found)
      throw this.#error(
        'unsupported',
        `no file stands in for its input ${input}; there are files for ${[...this.#inputs.keys()].join(', ')}`,
      );
    if (Math.abs(setup.rate / found.rate - 1) > sameRate)
      throw this.#error(
        'unsupported',
        `input ${input} was recorded at ${found.rate} S/s, not at ${setup.rate} S/s; ask for that rate`,
      );
    const needed = samplesOf(setup, found);
    if (needed > found.samples)
      throw this.#error(
        'unsupported',
        `the record of input ${input} holds ${found.samples / found.rate} s, less than the ${setup.duration} s of the capture; record longer`,
      );
    return found;
  }

  async #wait(instant: number, { signal }: Call): Promise<void> {
    try {
      await this.#clock.waitUntil(instant, AbortSignal.any([signal, this.#closing.signal]));
    } catch (error) {
      if (this.#closing.signal.aborted) throw this.#error('closed', 'it was closed', error);
      if (signal.aborted) throw this.#error('cancelled', 'the acquisition was cancelled', error);
      throw error;
    }
  }

  #check({ signal }: Call): void {
    if (this.#closing.signal.aborted) throw this.#error('closed', 'it is closed');
    if (signal.aborted) throw this.#error('cancelled', 'the call was cancelled');
  }

  #error(kind: BenchErrorKind, why: string, cause?: unknown): BenchError {
    return new BenchError(kind, this.name, `${this.name}: ${why}`, { cause });
  }
}

function samplesOf({ duration }: Setup, { rate }: RecordedInput): number {
  return Math.round(duration * rate);
}
