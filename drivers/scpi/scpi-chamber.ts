import type { Call, Chamber, ChamberReading, Identity } from '../../harness/bench/ports.ts';
import type { ChamberLimits } from '../../harness/bench/rig.ts';
import { mustBeAllowed } from '../chamber-limits.ts';
import { fillTemplate } from './fill-template.ts';
import { readNumber } from './numbers.ts';
import { isOutputOn, unexpectedAnswer } from './output-state.ts';
import type { ChamberProfile } from './profile-schema.ts';
import { protectionsIn } from './protections.ts';
import type { ScpiSession, Talk } from './session.ts';

/** A temperature chamber that is set by messages and says what its air has. */
export class ScpiChamber implements Chamber {
  readonly kind = 'chamber';
  readonly driver = 'scpi';
  readonly name: string;
  readonly #session: ScpiSession;
  readonly #profile: ChamberProfile;
  readonly #limits: ChamberLimits;

  /** The narrower of the rig's limits and the chamber's own hold. */
  constructor(name: string, session: ScpiSession, profile: ChamberProfile, rig: ChamberLimits) {
    this.name = name;
    this.#session = session;
    this.#profile = profile;
    this.#limits = {
      lowest: Math.max(rig.lowest, profile.lowest ?? Number.NEGATIVE_INFINITY),
      highest: Math.min(rig.highest, profile.highest ?? Number.POSITIVE_INFINITY),
    };
  }

  identify(call: Call): Promise<Identity> {
    return this.#session.identify(call);
  }

  async set({ celsius }: { readonly celsius: number }, call: Call): Promise<void> {
    mustBeAllowed(this.name, celsius, this.#limits);
    const { 'set-point': setPoint, start } = this.#profile;
    const messages = [fillTemplate(setPoint, { celsius }), ...(start === undefined ? [] : [start])];
    await this.#session.use(call, ({ setUp }) => setUp(messages));
  }

  stop(call: Call): Promise<void> {
    return this.#session.use(call, ({ setUp }) => setUp([this.#profile.stop]));
  }

  read(call: Call): Promise<ChamberReading> {
    return this.#session.use(call, async (talk) => {
      const { 'read-celsius': readCelsius, 'read-set-point': readSet, state } = this.#profile;
      return {
        celsius: await this.#figure(readCelsius, 'the temperature of the air', talk),
        ...(readSet && { setPoint: await this.#figure(readSet, 'the set point', talk) }),
        on: state ? await isOutputOn(this.#session, state, talk) : true,
        ...(await this.#alarms(talk)),
      };
    });
  }

  close(): Promise<void> {
    return this.#session.close();
  }

  async #figure(query: string, what: string, { ask }: Talk): Promise<number> {
    return readNumber(await ask(query), this.name, what);
  }

  async #alarms({ ask }: Talk): Promise<Pick<ChamberReading, 'alarms'>> {
    const { alarms } = this.#profile;
    if (!alarms) return {};
    const answer = await ask(alarms.query);
    const found = protectionsIn(answer, alarms);
    if (found) return { alarms: found };
    const expected = [...alarms.none, 'a whole number'];
    throw unexpectedAnswer(this.#session, { query: alarms.query, answer }, expected);
  }
}
