import type { Call, Identity, Supply, SupplyReading } from '../../harness/bench/ports.ts';
import { readNumber } from './numbers.ts';
import type { MultimeterProfile } from './profile-schema.ts';
import type { ScpiSession } from './session.ts';

/** A multimeter at the terminals of a supply whose knobs a person turns: it reads, and sets nothing. */
export class ScpiMultimeter implements Supply {
  readonly kind = 'supply';
  readonly driver = 'scpi';
  readonly name: string;
  readonly #session: ScpiSession;
  readonly #profile: MultimeterProfile;

  constructor(name: string, session: ScpiSession, profile: MultimeterProfile) {
    this.name = name;
    this.#session = session;
    this.#profile = profile;
  }

  identify(call: Call): Promise<Identity> {
    return this.#session.identify(call);
  }

  async set(): Promise<void> {
    throw this.#onlyReads('set a voltage');
  }

  async output(): Promise<void> {
    throw this.#onlyReads('switch an output');
  }

  read(call: Call): Promise<SupplyReading> {
    const { 'read-volts': queryVolts, 'read-amps': queryAmps } = this.#profile;
    return this.#session.use(call, async ({ ask }) => {
      const volts = readNumber(await ask(queryVolts), this.name, 'the voltage');
      const amps =
        queryAmps === undefined ? 0 : readNumber(await ask(queryAmps), this.name, 'the current');
      return { volts, amps, on: Math.abs(volts) > this.#profile['on-above'] };
    });
  }

  close(): Promise<void> {
    return this.#session.close();
  }

  #onlyReads(what: string) {
    return this.#session.error(
      'unsupported',
      `a multimeter cannot ${what}; name a supply in the rig file, or leave claims about the supply out`,
    );
  }
}
