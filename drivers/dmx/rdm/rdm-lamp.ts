import type { BenchError, BenchErrorKind } from '../../../harness/bench/errors.ts';
import type { LampProperty, RdmProperty } from '../../../harness/bench/lamp-properties.ts';
import type { Identity, SelfReport, Unsaid } from '../../../harness/bench/ports.ts';
import { plainLine } from '../../../harness/files/plain-text.ts';
import type { DriverClock } from '../../driver-clock.ts';
import { parameter } from './parameters.ts';
import { type RdmAnswer, RdmController, type RdmLine } from './rdm-controller.ts';
import { type RdmPlace, rdmPlaces } from './rdm-properties.ts';
import { type Uid, uidOf, uidText } from './uid.ts';

/** Ids from 0x7ff0 on are for prototypes (ANSI E1.20-2010 5.1, from memory): our controller has one of them. */
const controller = uidOf(0x7ff0, 1);

export interface RdmLampParts {
  readonly line: RdmLine;
  readonly clock: DriverClock;
  error(kind: BenchErrorKind, why: string): BenchError;
}

/** The one lamp on a line, as RDM finds it. */
export class RdmLamp {
  readonly #parts: RdmLampParts;
  readonly #controller: RdmController;
  #uid: Uid | null = null;

  constructor(parts: RdmLampParts) {
    this.#parts = parts;
    this.#controller = new RdmController(parts.line, controller, parts.clock);
  }

  /** What the line leads to may be another one now. */
  forget(): void {
    this.#uid = null;
  }

  async ask(property: LampProperty, signal: AbortSignal): Promise<SelfReport | Unsaid> {
    const place = this.#placeOf(property);
    const from = this.#parts.clock.now();
    const answer = await this.#controller.get(await this.#lamp(signal), place.parameter, signal);
    const data = this.#data(answer, property);
    if ('refused' in data) return data;
    const value = place.decode(data.data);
    if (value === null)
      return {
        refused: `answers with ${data.data.length} bytes, which are too few for ${property}`,
      };
    return { value, resolution: place.resolution, from, to: this.#parts.clock.now() };
  }

  /** Null where the lamp took it; otherwise its reason to refuse. */
  async tell(property: LampProperty, value: number, signal: AbortSignal): Promise<string | null> {
    const { encode, parameter: pid } = this.#placeOf(property);
    if (!encode) throw this.#parts.error('unsupported', `${property} can only be read`);
    const answer = await this.#controller.set(await this.#lamp(signal), pid, encode(value), signal);
    if (answer.is === 'refused') return answer.reason;
    this.#data(answer, property);
    return null;
  }

  async whoIsLamp(signal: AbortSignal): Promise<Identity> {
    const uid = await this.#lamp(signal);
    const label = async (pid: number): Promise<string> => {
      const answer = await this.#controller.get(uid, pid, signal);
      const text = answer.is === 'data' ? Buffer.from(answer.data).toString('latin1') : '';
      return plainLine(text);
    };
    const maker = await label(parameter.manufacturerLabel);
    const model = await label(parameter.modelDescription);
    const firmware = await label(parameter.softwareVersionLabel);
    // The id on the line is no serial number of the maker's.
    const raw = `${maker}, ${model}, ${uidText(uid)}, ${firmware}`;
    return { maker, model, serial: '', firmware, raw };
  }

  /** Everybody is looked for once: nobody, or several, are the line's fault and no lamp's. */
  async #lamp(signal: AbortSignal): Promise<Uid> {
    if (this.#uid !== null) return this.#uid;
    const found = await this.#controller.discover(signal);
    if (!found)
      throw this.#parts.error(
        'garbled',
        'what comes back on the line is noise, whoever is asked for; look at termination, bias and direction of the line',
      );
    const [uid, ...others] = found;
    if (uid === undefined)
      throw this.#parts.error(
        'timeout',
        'nobody answers RDM on the line; does the lamp have power, is the adapter one that listens, and is the line terminated?',
      );
    if (others.length > 0)
      throw this.#parts.error(
        'collision',
        `${others.length + 1} devices answer RDM on the line (${[uid, ...others].map(uidText).join(', ')}); leave one lamp on it`,
      );
    this.#uid = uid;
    return uid;
  }

  #data(answer: RdmAnswer, property: LampProperty): { readonly data: readonly number[] } | Unsaid {
    switch (answer.is) {
      case 'data':
        return { data: answer.data };
      case 'refused':
        return { refused: `refuses it (${answer.reason})` };
      case 'silence':
        this.#uid = null;
        throw this.#parts.error(
          'timeout',
          `nobody answered when the lamp was asked for its ${property} by RDM`,
        );
      case 'garbled':
        throw this.#parts.error(
          'garbled',
          `the answers about ${property} by RDM were never whole: ${answer.why}; look at termination, bias and direction of the line`,
        );
    }
  }

  #placeOf(property: LampProperty): RdmPlace {
    const places: Partial<Record<string, RdmPlace>> = rdmPlaces satisfies Record<
      RdmProperty,
      RdmPlace
    >;
    const place = places[property];
    if (place) return place;
    throw this.#parts.error('unsupported', `it cannot ask for ${property}; DALI can`);
  }
}
