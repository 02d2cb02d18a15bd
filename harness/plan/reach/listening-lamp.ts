import { type Lamp, slotCount } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import { usualLink } from '../links/usual-link.ts';

/** Why a step comes to nothing at the lamp. */
export interface Miss {
  /** Finishes "…, since ". */
  readonly why: string;
  /** It comes to the lamp all the same, which has to tell that it is not meant: a frame for others on its bus. */
  readonly arrives: boolean;
}

/** The lamp as the steps of a stimulus find it, one after another: what it listens to, and what it has already. */
export class ListeningLamp {
  readonly lamp: Lamp;
  /** Link of steps that name none. */
  readonly #usual: string | undefined;
  readonly #streams = new Set<string>();
  readonly #groups = new Set<number>();
  #isReaddressed = false;
  #volts: number;
  #isOn = true;

  /** Without a rig the link of steps that name none is that of the simulated bench. */
  constructor(lamp: Lamp, rig: Pick<Rig, 'links'> | null) {
    this.lamp = lamp;
    this.#usual = usualLink(rig ? rig.links : lamp.links);
    this.#volts = lamp.supply.nominal;
    const { group } = lamp.links.dali ?? {};
    if (group !== undefined) this.#groups.add(group);
  }

  /** Levels went out on a link, which are repeated from now on where the link sends all the time. */
  hear(link: string | undefined): null {
    const name = link ?? this.#usual;
    if (name !== undefined) this.#streams.add(name);
    return null;
  }

  /** A signal can only be missed where there was one. */
  missOfSignal(link: string): Miss | null {
    if (this.#streams.has(link)) return null;
    return { why: `nothing has been sent on ${link} before that could stop`, arrives: false };
  }

  /** A supply that stays as it is changes nothing. */
  missOfSupply({ volts = this.#volts, on = this.#isOn }): Miss | null {
    const same = volts === this.#volts && on === this.#isOn;
    this.#volts = volts;
    this.#isOn = on;
    return same ? { why: 'its supply is so already', arrives: true } : null;
  }

  /** A frame that ends before the lamp's last slot gives it no levels. */
  missOfSlots(link: 'dmx' | 'sacn', sent: number): Miss | null {
    const own = this.lamp.links[link];
    if (!own) return null;
    const last = own.firstSlot - 1 + slotCount(own, this.lamp.channels.length);
    if (sent >= last) return null;
    const carries = sent === 0 ? 'none' : `only slots 1 to ${sent}`;
    return {
      why: `it reads slots ${own.firstSlot} to ${last} on ${link}, and the message carries ${carries}; send { lamp-slots: … }, which are its own`,
      arrives: false,
    };
  }

  /** Forward frames: of 16 bits for gear, by address; of 24 bits for control devices. IEC 62386-102 and -103, from memory. */
  missOfFrame([address = 0, opcode = 0, third]: readonly number[]): Miss | null {
    const other = (why: string): Miss => ({ why, arrives: true });
    if (third !== undefined) return other('frames of 24 bits are for control devices');
    const own = this.lamp.links.dali?.shortAddress ?? 0;
    if (address < 0x80 && address >> 1 !== own && !this.#isReaddressed)
      return other(`DALI address ${address >> 1} is not its own, which is ${own}`);
    const group = (address >> 1) & 0x0f;
    if ((address & 0xe0) === 0x80 && !this.#groups.has(group))
      return other(`it is not in DALI group ${group}`);
    if ((address & 0xfe) === 0xfc && !this.#isReaddressed)
      return other(`the frame is for gear without a DALI address, and its own is ${own}`);
    this.#configure(address, opcode);
    return null;
  }

  /** Frames that change whom the lamp listens to. */
  #configure(address: number, opcode: number): void {
    const isSpecial = address > 0x9f && address < 0xfc;
    if (isSpecial ? address === 0xb7 : (address & 1) === 1 && opcode === 0x80)
      this.#isReaddressed = true;
    if (isSpecial || (address & 1) === 0) return;
    if ((opcode & 0xf0) === 0x60) this.#groups.add(opcode & 0x0f);
    if ((opcode & 0xf0) === 0x70) this.#groups.delete(opcode & 0x0f);
  }
}
