import type { Call, Clock, ColourSensor, Identity } from '../../harness/bench/ports.ts';
import type { SensorReading } from '../../harness/measure/observation.ts';
import { fillTemplate } from './fill-template.ts';
import { middleOf } from './integration-window.ts';
import { isSentinel, readNumber } from './numbers.ts';
import type { ColourSensorProfile } from './profile-schema.ts';
import type { ScpiSession, Talk } from './session.ts';

/** A tristimulus head that integrates when it is asked. */
export class ScpiColourSensor implements ColourSensor {
  readonly kind = 'colour-sensor';
  readonly driver = 'scpi';
  readonly name: string;
  readonly #session: ScpiSession;
  readonly #profile: ColourSensorProfile;
  readonly #clock: Clock;

  constructor(name: string, session: ScpiSession, profile: ColourSensorProfile, clock: Clock) {
    this.name = name;
    this.#session = session;
    this.#profile = profile;
    this.#clock = clock;
  }

  identify(call: Call): Promise<Identity> {
    return this.#session.identify(call);
  }

  async read(
    { integration }: { readonly integration: number },
    call: Call,
  ): Promise<SensorReading> {
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

  async #take(integration: number, talk: Talk): Promise<SensorReading> {
    const { 'set-up': setUp, read, 'standard-xy': standardXy } = this.#profile;
    if (setUp.length > 0)
      await talk.setUp(setUp.map((message) => fillTemplate(message, { integration })));
    const asked = this.#clock.now();
    const reply = await talk.ask(read.query);
    const answered = this.#clock.now();
    const parts = reply.split(',').map((part) => part.trim());
    if (parts.length < read.fields.length)
      throw this.#session.error(
        'garbled',
        `it answered "${read.query}" with ${parts.length} fields ("${reply.slice(0, 60)}"); expected ${read.fields.length}`,
      );
    const figures = new Map(read.fields.map((field, index) => [field, parts[index] ?? '']));
    const state = this.#state(figures.get('state'));
    const tristimulus = this.#tristimulus(figures, state);
    const good = state === 'good';
    const { ranging } = this.#profile;
    const at = middleOf({ asked, answered, integration, ranging, good }, this.#session);
    const known = standardXy === undefined ? {} : { standardXy };
    return { at, integration, ...tristimulus, state, ...known };
  }

  #state(text: string | undefined): SensorReading['state'] {
    const { states } = this.#profile.read;
    if (!states) return 'good';
    const found = Object.entries(states).find(([, answer]) => answer === text)?.[0];
    if (found !== undefined) return found as SensorReading['state'];
    const words = Object.values(states).join(', ');
    throw this.#session.error(
      'garbled',
      `it says that its state is "${text}"; expected one of ${words}`,
    );
  }

  /** A reading that is no good may come without figures; it then has none. */
  #tristimulus(
    figures: ReadonlyMap<string, string>,
    state: SensorReading['state'],
  ): Pick<SensorReading, 'X' | 'Y' | 'Z'> {
    const figure = (field: string): number => {
      const text = figures.get(field) ?? '';
      if (state !== 'good' && isSentinel(text)) return 0;
      return readNumber(text, this.name, field);
    };
    const Y = figure('Y');
    if (figures.has('X')) return { X: figure('X'), Y, Z: figure('Z') };
    const [x, y] = [figure('x'), figure('y')];
    if (y === 0 && state === 'good')
      throw this.#session.error('garbled', 'it sent a chromaticity with y = 0');
    return y === 0 ? { X: 0, Y, Z: 0 } : { X: (x * Y) / y, Y, Z: ((1 - x - y) * Y) / y };
  }
}
