import type { Call, Clock, Identity, Spectrometer, Spectrum } from '../../harness/bench/ports.ts';
import { decodeSamples } from './decode-samples.ts';
import { fillTemplate } from './fill-template.ts';
import { middleOf } from './integration-window.ts';
import { readNumber } from './numbers.ts';
import { unexpectedAnswer } from './output-state.ts';
import type { SpectrometerProfile } from './profile-schema.ts';
import { pollUntil, type ScpiSession, type Talk } from './session.ts';

const nanometre = 1e-9;
/** W/(m² nm) in W/m³. */
const perNanometre = 1e9;

/** A spectrometer that integrates when it is asked and answers with one value a wavelength. */
export class ScpiSpectrometer implements Spectrometer {
  readonly kind = 'spectrometer';
  readonly driver = 'scpi';
  readonly name: string;
  readonly #session: ScpiSession;
  readonly #profile: SpectrometerProfile;
  readonly #clock: Clock;
  /** Integration time that its dark was taken at, s. */
  #darkAt: number | null = null;

  constructor(name: string, session: ScpiSession, profile: SpectrometerProfile, clock: Clock) {
    this.name = name;
    this.#session = session;
    this.#profile = profile;
    this.#clock = clock;
  }

  identify(call: Call): Promise<Identity> {
    return this.#session.identify(call);
  }

  async measure({ integration }: { readonly integration: number }, call: Call): Promise<Spectrum> {
    const { 'shortest-integration': shortest, 'longest-integration': longest } = this.#profile;
    if (!(integration >= shortest && integration <= longest))
      throw this.#session.error(
        'unsupported',
        `it cannot integrate for ${integration} s, only for ${shortest} s to ${longest} s`,
      );
    // Integrating takes its time whatever the deadline for an answer is.
    const patient = { ...call, deadline: call.deadline + integration };
    return this.#session.use(patient, (talk) => this.#take(integration, talk));
  }

  close(): Promise<void> {
    return this.#session.close();
  }

  async #take(integration: number, talk: Talk): Promise<Spectrum> {
    const { 'set-up': setUp, wavelengths, ranging, scale, bandwidth } = this.#profile;
    if (setUp.length > 0)
      await talk.setUp(setUp.map((message) => fillTemplate(message, { integration })));
    await this.#takeDark(integration, talk);
    const asked = this.#clock.now();
    const sent = await this.#values(talk);
    const answered = this.#clock.now();
    const state = await this.#state(sent, talk);
    const good = state === 'good';
    const { 'standard-wavelength': standard, 'standard-xy': standardXy } = this.#profile;
    return {
      at: middleOf({ asked, answered, integration, ranging, good }, this.#session),
      integration,
      from: wavelengths.from * nanometre,
      step: wavelengths.step * nanometre,
      values: sent.map((value) => value * scale * perNanometre),
      state,
      standardWavelength: standard * nanometre,
      ...(bandwidth !== undefined && { bandwidth: bandwidth * nanometre }),
      ...(standardXy !== undefined && { standardXy }),
    };
  }

  /** Dark current grows with the integration time: one dark holds for one time. */
  async #takeDark(integration: number, talk: Talk): Promise<void> {
    const { dark } = this.#profile;
    if (!dark || this.#darkAt === integration) return;
    await talk.setUp([dark.message]);
    if (dark.done) await pollUntil(talk, dark.done);
    this.#darkAt = integration;
  }

  async #values(talk: Talk): Promise<Float64Array> {
    const { read, encoding, order, wavelengths } = this.#profile;
    const { from, to, step } = wavelengths;
    const values =
      encoding === 'text'
        ? (await talk.ask(read)).split(',').map((text) => readNumber(text, this.name, 'a value'))
        : decodeSamples(await talk.askBlock(read), encoding, order);
    const expected = Math.round((to - from) / step) + 1;
    if (values.length === expected) return Float64Array.from(values);
    throw this.#session.error(
      'garbled',
      `it answered "${read}" with ${values.length} values; expected ${expected}, from ${from} nm to ${to} nm every ${step} nm`,
    );
  }

  async #state(values: Float64Array, { ask }: Talk): Promise<Spectrum['state']> {
    const { state, 'saturated-at': most = Number.POSITIVE_INFINITY } = this.#profile;
    if (values.some((value) => value >= most)) return 'saturated';
    if (!state) return 'good';
    const { query, good, saturated, 'under-range': weak } = state;
    const answer = await ask(query);
    if (answer === good) return 'good';
    if (answer === saturated) return 'saturated';
    if (answer === weak) return 'under-range';
    const expected = [good, saturated, ...(weak === undefined ? [] : [weak])];
    throw unexpectedAnswer(this.#session, { query, answer }, expected);
  }
}
