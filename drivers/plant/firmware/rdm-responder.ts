import { encodeFound } from '../../dmx/rdm/discovery-response.ts';
import { parameter } from '../../dmx/rdm/parameters.ts';
import {
  commandClass,
  decodeRdm,
  encodeRdm,
  lengthOfRdm,
  type RdmPacket,
  rdmStartCode,
  responseType,
} from '../../dmx/rdm/rdm-packet.ts';
import { isBroadcast, isFor, type Uid, uidIn } from '../../dmx/rdm/uid.ts';
import { answerParameter, type RdmParameters, type RdmReply } from './rdm-parameters.ts';

/** The lamp's side of ANSI E1.20: hears whole messages behind a break, and answers those that are for it. */
export class RdmResponder {
  readonly #uid: Uid;
  readonly #parameters: RdmParameters;
  readonly #say: (bytes: Uint8Array) => void;
  #muted = false;
  /** Bytes since the break; null where they are no message of RDM. */
  #heard: number[] | null = null;
  /** An answer that waits for GET QUEUED_MESSAGE, and from when on it is there, s. */
  #queued: {
    readonly answer: Omit<RdmPacket, 'to' | 'from' | 'transaction'>;
    readonly at: number;
  } | null = null;

  constructor(uid: Uid, parameters: RdmParameters, say: (bytes: Uint8Array) => void) {
    this.#uid = uid;
    this.#parameters = parameters;
    this.#say = say;
  }

  begin(): void {
    this.#heard = [];
  }

  /** True when this byte completed a message that was for the lamp. */
  take(byte: number, now: number): boolean {
    const heard = this.#heard;
    if (!heard) return false;
    heard.push(byte);
    if (heard[0] !== rdmStartCode) this.#heard = null;
    const length = lengthOfRdm(heard);
    if (length === null || heard.length < length) return false;
    this.#heard = null;
    const packet = decodeRdm(Uint8Array.from(heard));
    if ('garbled' in packet || !isFor(packet.to, this.#uid)) return false;
    this.#act(packet, now);
    return true;
  }

  #act(packet: RdmPacket, now: number): void {
    if (packet.commandClass === commandClass.discover) this.#discover(packet);
    else if (packet.parameter === parameter.queuedMessage) this.#tellQueued(packet, now);
    else this.#obey(packet, now);
  }

  #obey(packet: RdmPacket, now: number): void {
    const { reply, later = 0 } = answerParameter(this.#parameters, packet);
    const answer = responseTo(packet, reply);
    if (later === 0) {
      this.#answer(packet, answer);
      return;
    }
    this.#queued = { answer, at: now + later };
    const wait = Math.ceil(later / timerUnit);
    const data = [wait >> 8, wait & 0xff];
    this.#answer(packet, { ...answer, portOrType: responseType.ackTimer, data });
  }

  #discover(packet: RdmPacket): void {
    const { parameter: pid, data } = packet;
    if (pid === parameter.discUniqueBranch) {
      const within = this.#uid >= uidIn(data, 0) && this.#uid <= uidIn(data, 6);
      if (within && !this.#muted && data.length === 12) this.#say(encodeFound(this.#uid));
      return;
    }
    if (pid !== parameter.discMute && pid !== parameter.discUnMute) return;
    this.#muted = pid === parameter.discMute;
    // Control field: no sub-devices, no proxy, no boot loader.
    this.#answer(packet, responseTo(packet, { data: [0, 0] }));
  }

  #tellQueued(packet: RdmPacket, now: number): void {
    const queued = this.#queued;
    if (!queued || now < queued.at) {
      // Nothing to tell: an empty list of status messages.
      const nothing = responseTo(packet, { data: [] });
      this.#answer(packet, { ...nothing, parameter: parameter.statusMessages });
      return;
    }
    this.#queued = null;
    this.#answer(packet, queued.answer);
  }

  /** Nobody answers a broadcast. */
  #answer(packet: RdmPacket, answer: Omit<RdmPacket, 'to' | 'from' | 'transaction'>): void {
    if (isBroadcast(packet.to)) return;
    const { transaction } = packet;
    this.#say(encodeRdm({ ...answer, to: packet.from, from: this.#uid, transaction }));
  }
}

/** ACK_TIMER counts in these, s. */
const timerUnit = 0.1;

function responseTo(
  { commandClass: asked, parameter: pid, subDevice }: RdmPacket,
  reply: RdmReply,
): Omit<RdmPacket, 'to' | 'from' | 'transaction'> {
  const common = { commandClass: asked + 1, parameter: pid, subDevice, waiting: 0 };
  if ('nack' in reply)
    return { ...common, portOrType: responseType.nack, data: [reply.nack >> 8, reply.nack & 0xff] };
  return { ...common, portOrType: responseType.ack, data: reply.data };
}
