import type { Call, Identity, Thermometer } from '../../harness/bench/ports.ts';
import { readNumber } from './numbers.ts';
import type { ThermometerProfile } from './profile-schema.ts';
import type { ScpiSession } from './session.ts';

/** A thermometer that is asked. */
export class ScpiThermometer implements Thermometer {
  readonly kind = 'thermometer';
  readonly driver = 'scpi';
  readonly name: string;
  readonly #session: ScpiSession;
  readonly #profile: ThermometerProfile;

  constructor(name: string, session: ScpiSession, profile: ThermometerProfile) {
    this.name = name;
    this.#session = session;
    this.#profile = profile;
  }

  identify(call: Call): Promise<Identity> {
    return this.#session.identify(call);
  }

  async read(call: Call): Promise<{ readonly celsius: number }> {
    const query = this.#profile['read-celsius'];
    const text = await this.#session.use(call, ({ ask }) => ask(query));
    return { celsius: readNumber(text, this.name, 'the temperature') };
  }

  close(): Promise<void> {
    return this.#session.close();
  }
}
