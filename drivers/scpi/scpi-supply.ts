import type { Call, Identity, Supply, SupplyReading } from '../../harness/bench/ports.ts';
import { FedWatchdog } from './fed-watchdog.ts';
import { fillTemplate } from './fill-template.ts';
import { readNumber } from './numbers.ts';
import { isOutputOn, unexpectedAnswer } from './output-state.ts';
import type { SupplyProfile } from './profile-schema.ts';
import { protectionsIn } from './protections.ts';
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
  readonly #watchdog: FedWatchdog | null;

  constructor(name: string, session: ScpiSession, profile: SupplyProfile, limits: SupplyLimits) {
    this.name = name;
    this.#session = session;
    this.#profile = profile;
    this.#limits = limits;
    const { watchdog } = profile;
    this.#watchdog = watchdog ? new FedWatchdog(session, watchdog) : null;
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
    this.#watchdog?.stop();
    await this.#session.use(call, async (talk) => {
      await this.#tell(this.#switching(on), talk);
      if (on) this.#watchdog?.start();
      if ((await this.#isOn(talk)) !== on)
        throw this.#session.error(
          'refused',
          `its output was switched ${on ? 'on' : 'off'}, but it says that it is ${on ? 'off' : 'on'}`,
        );
    });
  }

  read(call: Call): Promise<SupplyReading> {
    return this.#session.use(call, async (talk) => {
      const on = await this.#isOn(talk);
      const { 'read-volts': volts, 'read-amps': amps } = this.#profile;
      return {
        volts: readNumber(await talk.ask(volts), this.name, 'the voltage'),
        amps: readNumber(await talk.ask(amps), this.name, 'the current'),
        on,
        ...(await this.#mode(talk)),
        ...(await this.#protections(talk)),
      };
    });
  }

  /** A status that is cleared by reading is read. */
  async clear(call: Call): Promise<void> {
    const { protections } = this.#profile;
    if (!protections) return;
    await this.#session.use(call, async (talk) => {
      if (protections.clear !== undefined) await talk.setUp([protections.clear]);
      else await this.#protections(talk);
    });
  }

  close(): Promise<void> {
    this.#watchdog?.stop();
    return this.#session.close();
  }

  /** Its own watchdog runs before there is light, and as long as there is. */
  #switching(on: boolean): readonly string[] {
    const { watchdog, 'output-on': switchOn, 'output-off': switchOff } = this.#profile;
    if (!watchdog) return [on ? switchOn : switchOff];
    const set = fillTemplate(watchdog.set, { seconds: watchdog.time });
    return on ? [set, switchOn] : [switchOff, watchdog.off];
  }

  async #tell(messages: readonly string[], talk: Talk): Promise<void> {
    await talk.setUp(messages);
    if (this.#profile.settled) await pollUntil(talk, this.#profile.settled);
  }

  async #mode({ ask }: Talk): Promise<Pick<SupplyReading, 'mode'>> {
    const { mode } = this.#profile;
    if (!mode) return {};
    const answer = await ask(mode.query);
    if (mode.voltage.includes(answer)) return { mode: 'voltage' };
    if (mode.current.includes(answer)) return { mode: 'current' };
    throw this.#unexpected(mode.query, answer, [...mode.voltage, ...mode.current]);
  }

  async #protections({ ask }: Talk): Promise<Pick<SupplyReading, 'protections'>> {
    const { protections } = this.#profile;
    if (!protections) return {};
    const answer = await ask(protections.query);
    const acted = protectionsIn(answer, protections);
    if (acted) return { protections: acted };
    throw this.#unexpected(protections.query, answer, [...protections.none, 'a whole number']);
  }

  #unexpected(query: string, answer: string, expected: readonly string[]) {
    return unexpectedAnswer(this.#session, { query, answer }, expected);
  }

  #isOn(talk: Talk): Promise<boolean> {
    return isOutputOn(this.#session, this.#profile.state, talk);
  }

  #allow(unit: string, value: number, most: number): void {
    if (value >= 0 && value <= most) return;
    throw this.#session.error(
      'refused',
      `it may not give ${value} ${unit}, only 0 to ${most} ${unit}; nothing was changed`,
    );
  }
}
