import type {
  Acquisition,
  Call,
  Clock,
  Digitiser,
  DigitiserCapabilities,
  Identity,
  InputSetup,
  RawCapture,
} from '../../harness/bench/ports.ts';
import { withDeadline } from '../transport/with-deadline.ts';
import { codeEnds, decodeSamples, sampleBytes } from './decode-samples.ts';
import { fillTemplate } from './fill-template.ts';
import { FreshProof, type Nonce, nextNonce } from './fresh-proof.ts';
import { readNumber } from './numbers.ts';
import type { DigitiserProfile } from './profile-schema.ts';
import { endsWait, pollUntil, type ScpiSession, type Talk } from './session.ts';
import { clockPart, recordStart, type StartEvidence } from './start-evidence.ts';

type ArmSetup = Parameters<Digitiser['arm']>[0];

/** A rate that differs by more than this from the one asked for changes the number of samples. */
const sameRate = 1e-6;
/** A record at a rate that differs by more than this from the one that was set up is another record. */
const otherRate = 0.01;
/** The record's end is looked for from so long before it is due until so long after, s … */
const ahead = 0.02;
/** … with so little time from look to look, s. */
const often = 2e-3;
/** Once it is asked so long before the end: by this part of the record, and by so many s at least. */
const shortBefore = 0.01;
const leastBefore = 0.1;

export interface ScpiDigitiserParts {
  readonly name: string;
  readonly session: ScpiSession;
  readonly profile: DigitiserProfile;
  readonly clock: Clock;
  /** Names of inputs in the rig file, and what the instrument calls each. */
  readonly inputs: ReadonlyMap<string, string>;
}

/** A digitiser that takes one record at a time: set up, arm, wait, fetch, as its profile says. */
export class ScpiDigitiser implements Digitiser {
  readonly kind = 'digitiser';
  readonly driver = 'scpi';
  readonly name: string;
  readonly capabilities: DigitiserCapabilities;
  readonly #session: ScpiSession;
  readonly #profile: DigitiserProfile;
  readonly #clock: Clock;
  readonly #inputs: ReadonlyMap<string, string>;
  #recording = false;
  /** Of the record before. */
  #nonce: Nonce = { samples: 0 };

  constructor({ name, session, profile, clock, inputs }: ScpiDigitiserParts) {
    this.name = name;
    this.#session = session;
    this.#profile = profile;
    this.#clock = clock;
    this.#inputs = inputs;
    const { capabilities } = profile;
    this.capabilities = {
      inputs: [...inputs.keys()],
      highestRate: capabilities['highest-rate'],
      longestRecord: capabilities.memory,
      bits: capabilities.bits,
      acquisition: capabilities.acquisition,
      oneRecord: true,
      provesFresh: profile.fresh?.some((proof) => 'shown' in proof) ?? false,
    };
  }

  identify(call: Call): Promise<Identity> {
    return this.#session.identify(call);
  }

  async arm(setup: ArmSetup, call: Call): Promise<Acquisition> {
    this.#check(setup);
    this.#recording = true;
    try {
      const armed = await this.#session.use(call, (talk) => this.#start(setup, talk));
      const finished = this.#finish(setup, armed, call);
      // A record that nobody waits for any more is not an unhandled failure.
      finished.catch(() => {});
      return { started: armed.started, finished };
    } catch (error) {
      this.#recording = false;
      throw error;
    }
  }

  close(): Promise<void> {
    return this.#session.close();
  }

  async #start(setup: ArmSetup, talk: Talk): Promise<Armed> {
    const { arm, running, fresh = [], wait } = this.#profile;
    const room = this.capabilities.longestRecord - setup.duration * setup.rate;
    const nonce = nextNonce(fresh, this.#nonce, room);
    this.#nonce = nonce;
    const { rate, samples } = await this.#setUp({ ...setup, nonce }, setup.rate, talk);
    const proof = new FreshProof(this.#session, fresh, nonce);
    await proof.begin(talk);
    const armed = this.#clock.now();
    await talk.setUp([arm]);
    let [notBegun, begun] = [armed, this.#clock.now()];
    if (running) {
      const seen = await pollUntil(talk, running, this.#clock);
      notBegun = seen.notYet ?? armed;
      begun = seen.reached;
    }
    // A query for the status may be one that answers only when the record is complete: asked early where the proof rests on it.
    if (proof.asksStatus) {
      const complete = endsWait(wait.is, await talk.ask(wait.query));
      // A short record may be complete by now: nothing is told then.
      const tells = this.#clock.now() < armed + samples / rate;
      proof.saw({ complete: complete && tells });
    }
    const evidence = { armed, notBegun, begun };
    const wanted = samples - nonce.samples;
    return { started: (notBegun + begun) / 2, evidence, rate, samples, wanted, proof };
  }

  /** When the record began, by all that the instrument has said; `duration`: of its samples, s. */
  #startOf(evidence: StartEvidence, duration: number): Started {
    const found = recordStart(evidence, duration, this.#profile.wait.lag);
    if ('start' in found) return found;
    throw this.#session.error(found.kind, found.why);
  }

  /** Sets up; once more where the instrument chose another rate, so that the record is as long as it was asked for. */
  async #setUp(
    { inputs, duration, nonce }: Omit<ArmSetup, 'rate'> & { readonly nonce: Nonce },
    rate: number,
    talk: Talk,
    again = true,
  ): Promise<{ readonly rate: number; readonly samples: number }> {
    const { 'set-up': once, 'each-input': each, 'actual-rate': query, range } = this.#profile;
    const samples = Math.round(duration * rate) + nonce.samples;
    const figure = nonce.figure === undefined ? {} : { nonce: nonce.figure };
    const longer = duration + nonce.samples / rate;
    const fields = { rate, samples, duration: longer, ...figure };
    await talk.setUp([
      ...once.map((message) => fillTemplate(message, fields)),
      ...inputs.flatMap(({ input, expectedPeak = range.default }) =>
        each.map((message) =>
          fillTemplate(message, { ...fields, input: this.#token(input), range: expectedPeak }),
        ),
      ),
    ]);
    if (query === undefined) return { rate, samples };
    const actual = readNumber(await talk.ask(query), this.name, 'the rate');
    if (!(actual > 0))
      throw this.#session.error('garbled', `it says that its rate is ${actual} S/s`);
    if (Math.abs(actual / rate - 1) <= sameRate) return { rate: actual, samples };
    if (!again)
      throw this.#session.error(
        'unsupported',
        `it cannot sample at ${rate} S/s and chose ${actual} S/s; ask for a rate that it has`,
      );
    return this.#setUp({ inputs, duration, nonce }, actual, talk, false);
  }

  async #finish(setup: ArmSetup, armed: Armed, call: Call): Promise<readonly RawCapture[]> {
    try {
      // The last "not complete yet" tells as much as the first "complete": it is asked from a little before the end.
      const duration = armed.samples / armed.rate;
      const end = armed.evidence.notBegun + duration;
      const early = ahead + 2 * clockPart * duration;
      await withDeadline(
        this.name,
        { signal: call.signal, deadline: setup.duration + call.deadline },
        this.#session.closing,
        async (signal) => {
          await this.#mustNotBeDone({ end, duration }, { ...call, signal });
          await this.#clock.waitUntil(end - early, signal);
        },
      );
      return await this.#session.use(call, async (talk) => {
        const evidence = await this.#completed(armed, end, talk);
        await armed.proof.end(talk);
        const fetched: Fetched[] = [];
        for (const input of setup.inputs) fetched.push(await this.#fetch(input, armed, talk));
        return fetched.map((one) => ({
          ...one,
          ...this.#startOf(evidence, armed.samples / one.rate),
        }));
      });
    } finally {
      this.#recording = false;
    }
  }

  /**
   * A record that is complete long before it can be was sampled by a clock that is too fast, or is an old one: asked once, a
   * little before its end.
   */
  async #mustNotBeDone(
    { end, duration }: { end: number; duration: number },
    call: Call,
  ): Promise<void> {
    const due = end - Math.max(shortBefore * duration, leastBefore);
    if (due <= this.#clock.now()) return;
    await this.#clock.waitUntil(due, call.signal);
    const { wait } = this.#profile;
    const done = await this.#session.use(call, async ({ ask }) =>
      endsWait(wait.is, await ask(wait.query)),
    );
    const left = end - this.#clock.now();
    if (!done || left <= 0) return;
    throw this.#session.error(
      'stale',
      `its record of ${duration.toFixed(3)} s was complete ${left.toFixed(3)} s too early by the clock of this computer; expected a new record, which takes its time. Either its sample clock is fast by ${((100 * left) / duration).toFixed(1)} % or more, or it is still the record before`,
    );
  }

  /** Waits for the record; often around its end, so that it is known when that was. */
  async #completed({ evidence, proof }: Armed, end: number, talk: Talk): Promise<StartEvidence> {
    const { wait } = this.#profile;
    const every = (): number =>
      this.#clock.now() < end + ahead ? Math.min(often, wait.every) : wait.every;
    const seen = await pollUntil(talk, { ...wait, every }, this.#clock);
    proof.saw({ complete: seen.notYet === null });
    const { notYet, reached } = seen;
    return { ...evidence, ...(notYet !== null && { notComplete: notYet }), complete: reached };
  }

  async #fetch({ input }: InputSetup, armed: Armed, talk: Talk): Promise<Fetched> {
    const { preamble, scale: fixed } = this.#profile;
    const token = this.#token(input);
    const stated = preamble
      ? await this.#preamble(preamble, fillTemplate(preamble.query, { input: token }), talk)
      : new Map<string, number>();
    const points = stated.get('points') ?? armed.samples;
    if (points !== armed.samples)
      throw this.#session.error(
        'stale',
        `it says that its record of input ${input} has ${points} samples; expected ${armed.samples}, as it was set up; is it an older record?`,
      );
    await armed.proof.showsNonce({ input, token, stated }, talk);
    const { codes, ends } = await this.#samples(token, points, talk);
    if (codes.length !== armed.samples)
      throw this.#session.error(
        'garbled',
        `it sent ${codes.length} samples of input ${input}; expected ${armed.samples}`,
      );
    return {
      input,
      codes: codes.subarray(0, armed.wanted),
      ...(armed.proof.kind && { proof: armed.proof.kind }),
      ...scaleOf(stated, fixed),
      unit: 'V',
      lowest: stated.get('lowest') ?? fixed?.lowest ?? ends.lowest,
      highest: stated.get('highest') ?? fixed?.highest ?? ends.highest,
      rate: this.#rateOf(stated, armed, input),
    };
  }

  #rateOf(stated: ReadonlyMap<string, number>, armed: Armed, input: string): number {
    const interval = stated.get('interval');
    const rate = stated.get('rate') ?? (interval === undefined ? armed.rate : 1 / interval);
    if (!(rate > 0 && Number.isFinite(rate)))
      throw this.#session.error(
        'garbled',
        `it says that input ${input} was recorded at ${rate} S/s`,
      );
    if (Math.abs(rate / armed.rate - 1) > otherRate)
      throw this.#session.error(
        'stale',
        `it says that input ${input} was recorded at ${rate} S/s; expected ${armed.rate} S/s, as it was set up; is it an older record?`,
      );
    return rate;
  }

  async #preamble(
    { fields }: NonNullable<DigitiserProfile['preamble']>,
    query: string,
    { ask }: Talk,
  ): Promise<ReadonlyMap<string, number>> {
    const parts = (await ask(query)).split(',');
    if (parts.length < fields.length)
      throw this.#session.error(
        'garbled',
        `it answered "${query}" with ${parts.length} fields; expected ${fields.length}`,
      );
    const stated = new Map<string, number>();
    for (const [index, field] of fields.entries())
      if (field !== 'ignored')
        stated.set(field, readNumber(parts[index] ?? '', this.name, `the ${field} of the record`));
    return stated;
  }

  /** All samples of an input, fetched at once or piece by piece. */
  async #samples(token: string, points: number, talk: Talk): Promise<Samples> {
    const { query, pieces } = this.#profile.data;
    const most = pieces?.most ?? points;
    const parts: Samples[] = [];
    for (let done = 0; done < points; done += most) {
      const count = Math.min(most, points - done);
      const first = done + (pieces?.from ?? 0);
      const place = { input: token, first, last: first + count - 1, count };
      if (pieces) await talk.setUp(pieces.select.map((message) => fillTemplate(message, place)));
      parts.push(await this.#piece(fillTemplate(query, place), count, talk));
    }
    return joined(parts);
  }

  async #piece(query: string, points: number, talk: Talk): Promise<Samples> {
    const { encoding, order } = this.#profile.data;
    if (encoding === 'text') {
      const parts = (await talk.ask(query)).split(',');
      const codes = Float32Array.from(parts, (part) => readNumber(part, this.name, 'a sample'));
      return { codes, ends: codeEnds('float32') };
    }
    const block = await talk.askBlock(query);
    const expected = points * sampleBytes(encoding);
    if (block.length !== expected)
      throw this.#session.error(
        'garbled',
        `it answered "${query}" with ${block.length} bytes; expected ${expected}`,
      );
    const codes = decodeSamples(block, encoding, order);
    if (codes instanceof Float32Array && codes.some((code) => !(Math.abs(code) < 9.89e37)))
      throw this.#session.error('overload', 'its record holds samples that mean overload');
    return { codes, ends: codeEnds(encoding) };
  }

  #check({ inputs, rate, duration }: ArmSetup): void {
    if (this.#recording)
      throw this.#session.error(
        'unsupported',
        'it is still taking a record and takes one at a time; let the captures of this spec have one rate and one window, or wire them to another digitiser',
      );
    const { highestRate, longestRecord } = this.capabilities;
    if (!(rate > 0 && rate <= highestRate))
      throw this.#session.error(
        'unsupported',
        `it cannot sample at ${rate} S/s, only at up to ${highestRate} S/s; lower the capture's rate`,
      );
    if (!(duration > 0 && duration * rate <= longestRecord))
      throw this.#session.error(
        'unsupported',
        `${duration} s at ${rate} S/s is more than its memory of ${longestRecord} samples; shorten the record or lower the rate`,
      );
    for (const { input } of inputs) this.#token(input);
  }

  #token(input: string): string {
    const token = this.#inputs.get(input);
    if (token !== undefined) return token;
    const known = [...this.#inputs.keys()].join(', ') || 'none';
    throw this.#session.error('unsupported', `it has no input ${input}; its inputs are: ${known}`);
  }
}

interface Samples {
  readonly codes: RawCapture['codes'];
  readonly ends: { readonly lowest: number; readonly highest: number };
}

function joined(parts: readonly Samples[]): Samples {
  const [first = { codes: new Int16Array(0), ends: codeEnds('int16') }] = parts;
  if (parts.length <= 1) return first;
  const { codes, ends } = first;
  const Codes = codes.constructor as new (length: number) => RawCapture['codes'];
  const whole = new Codes(parts.reduce((sum, part) => sum + part.codes.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part.codes, at);
    at += part.codes.length;
  }
  return { codes: whole, ends };
}

/** volts = (code - reference) * scale + offset, as the preamble states it, or the profile. */
function scaleOf(
  stated: ReadonlyMap<string, number>,
  fixed: DigitiserProfile['scale'],
): { readonly scale: number; readonly offset: number } {
  const scale = stated.get('scale') ?? fixed?.scale ?? 1;
  const reference = stated.get('reference') ?? fixed?.reference ?? 0;
  return { scale, offset: (stated.get('offset') ?? fixed?.offset ?? 0) - reference * scale };
}

type Started = Pick<RawCapture, 'start'> & { readonly standardStart: number };

type Fetched = Omit<RawCapture, 'start' | 'standardStart'>;

interface Armed {
  readonly started: number;
  readonly evidence: Pick<StartEvidence, 'armed' | 'notBegun' | 'begun'>;
  readonly rate: number;
  readonly samples: number;
  /** Of these, as many as were asked for. */
  readonly wanted: number;
  readonly proof: FreshProof;
}
