import type { Call, Identity, Supply } from '../../harness/bench/ports.ts';
import { fillTemplate } from './fill-template.ts';
import { readNumber } from './numbers.ts';
import type { SupplyProfile } from './profile-schema.ts';
import { pollUntil, type ScpiSession, type Talk } from './session.ts';

export interface SupplyLimits {
  readonly volts: number;
  readonly amps: number;
}

/** A supply that is set by messages and says whether its output is on. */
export class ScpiSupply implements Supply {
  readonly kind = 'supply';
  readonly driver = 'scpi';
  readonly name: string;
  readonly #session: ScpiSession;
  readonly #profile: SupplyProfile;
  readonly #limits: SupplyLimits;

  constructor(name: string, session: ScpiSession, profile: SupplyProfile, limits: SupplyLimits) {
    this.name = name;
    this.#session = session;
    this.#profile = profile;
    this.#limits = limits;
  }

  identify(call: Call): Promise<Identity> {
    return this.#session.identify(call);
  }

  async set(
    { volts, limitAmps }: { readonly volts: number; readonly limitAmps?: number },
    call: Call,
  ): Promise<void> {
    this.#allow('V', volts, this.#limits.volts);
    const { volts: setVolts, limit } = this.#profile;
    const messages = [fillTemplate(setVolts, { volts })];
    if (limitAmps !== undefined && limit !== undefined) {
      this.#allow('A', limitAmps, this.#limits.amps);
      // The limit first: a short circuit meets it already.
      messages.unshift(fillTemplate(limit, { amps: limitAmps }));
    }
    await this.#session.use(call, (talk) => this.#tell(messages, talk));
  }

  async output(on: boolean, call: Call): Promise<void> {
    await this.#session.use(call, async (talk) => {
      await this.#tell([this.#profile[on ? 'output-on' : 'output-off']], talk);
      if ((await this.#isOn(talk)) !== on)
        throw this.#session.error(
          'refused',
          `its output was switched ${on ? 'on' : 'off'}, but it says that it is ${on ? 'off' : 'on'}`,
        );
    });
  }

  read(
    call: Call,
  ): Promise<{ readonly volts: number; readonly amps: number; readonly on: boolean }> {
    return this.#session.use(call, async (talk) => {
      const on = await this.#isOn(talk);
      const { 'read-volts': volts, 'read-amps': amps } = this.#profile;
      return {
        volts: readNumber(await talk.ask(volts), this.name, 'the voltage'),
        amps: readNumber(await talk.ask(amps), this.name, 'the current'),
        on,
      };
    });
  }

  close(): Promise<void> {
    return this.#session.close();
  }

  async #tell(messages: readonly string[], talk: Talk): Promise<void> {
    await talk.setUp(messages);
    if (this.#profile.settled) await pollUntil(talk, this.#profile.settled);
  }

  async #isOn({ ask }: Talk): Promise<boolean> {
    const { query, on, off } = this.#profile.state;
    const answer = await ask(query);
    if (on.includes(answer)) return true;
    if (off.includes(answer)) return false;
    throw this.#session.error(
      'garbled',
      `it answered "${query}" with "${answer.slice(0, 60)}"; expected ${[...on, ...off].join(' or ')}`,
    );
  }

  #allow(unit: string, value: number, most: number): void {
    if (value >= 0 && value <= most) return;
    throw this.#session.error(
      'refused',
      `it may not give ${value} ${unit}, only 0 to ${most} ${unit}; nothing was changed`,
    );
  }
}
