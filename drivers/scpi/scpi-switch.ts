import type { Call, Identity, PowerSwitch, SwitchReading } from '../../harness/bench/ports.ts';
import { FedWatchdog } from './fed-watchdog.ts';
import { fillTemplate } from './fill-template.ts';
import { readNumber } from './numbers.ts';
import { isOutputOn } from './output-state.ts';
import type { SwitchProfile } from './profile-schema.ts';
import { pollUntil, type ScpiSession, type Talk } from './session.ts';

/** A relay that is switched by messages and says whether its contacts are closed. */
export class ScpiSwitch implements PowerSwitch {
  readonly kind = 'switch';
  readonly driver = 'scpi';
  readonly name: string;
  readonly #session: ScpiSession;
  readonly #profile: SwitchProfile;
  readonly #watchdog: FedWatchdog | null;

  constructor(name: string, session: ScpiSession, profile: SwitchProfile) {
    this.name = name;
    this.#session = session;
    this.#profile = profile;
    const { watchdog } = profile;
    this.#watchdog = watchdog ? new FedWatchdog(session, watchdog) : null;
  }

  identify(call: Call): Promise<Identity> {
    return this.#session.identify(call);
  }

  async output(on: boolean, call: Call): Promise<void> {
    this.#watchdog?.stop();
    await this.#session.use(call, async (talk) => {
      await talk.setUp(this.#switching(on));
      if (this.#profile.settled) await pollUntil(talk, this.#profile.settled);
      if (on) this.#watchdog?.start();
      if ((await isOutputOn(this.#session, this.#profile.state, talk)) === on) return;
      const [told, says] = on ? ['on', 'off'] : ['off', 'on'];
      throw this.#session.error(
        'refused',
        `it was switched ${told}, but it says that it is ${says}; look at the relay and its wires`,
      );
    });
  }

  read(call: Call): Promise<SwitchReading> {
    return this.#session.use(call, async (talk) => {
      const on = await isOutputOn(this.#session, this.#profile.state, talk);
      const { 'read-amps': amps, 'read-watts': watts } = this.#profile;
      return {
        on,
        ...(amps && { amps: await this.#figure(amps, 'the current', talk) }),
        ...(watts && { watts: await this.#figure(watts, 'the power', talk) }),
      };
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

  async #figure(query: string, what: string, { ask }: Talk): Promise<number> {
    return readNumber(await ask(query), this.name, what);
  }
}
