import type { DriverClock } from '../../../../drivers/driver-clock.ts';
import { scheduleOn } from '../../../../drivers/plant/clock/simulated-time.ts';
import type { LinkInput } from '../../../../drivers/plant/firmware/firmware.ts';
import { ReferenceFirmware } from '../../../../drivers/plant/firmware/reference.ts';
import { type FirmwareTraits, healthyFirmware } from '../../../../drivers/plant/firmware/traits.ts';
import type { LampSide } from '../../../../drivers/plant/lamp-side.ts';
import { openSimulatedLink } from '../../../../drivers/plant/links/lamp-links.ts';
import { healthyLinkTraits, type LinkTraits } from '../../../../drivers/plant/links/traits.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import type { Call, LampLink } from '../../../../harness/bench/ports.ts';
import { alcove } from '../firmware/alcove.ts';
import { BareLamp } from '../firmware/bare-lamp.ts';

interface Happening {
  readonly at: number;
  readonly act: () => void;
}

/** A bare lamp with links on a virtual clock: bytes arrive when they would on a wire. */
export class LinkDesk implements LampSide {
  readonly takesDatagrams = false;
  readonly lamp: BareLamp;
  readonly clock: DriverClock = {
    kind: 'virtual',
    now: () => this.lamp.time,
    schedule: (instant, action) =>
      scheduleOn(
        { now: this.clock.now, schedule: (at, act) => this.#schedule(at, act) },
        instant,
        action,
      ),
    waitUntil: async (instant: number, signal: AbortSignal) => {
      signal.throwIfAborted();
      this.runUntil(instant);
    },
  };
  /** Every input that arrived, with its instant. */
  readonly arrived: { readonly at: number; readonly input: LinkInput }[] = [];
  readonly #lampFile: Lamp;
  readonly #linkTraits: LinkTraits;
  readonly #listeners: ((link: 'console' | 'dali' | 'dmx', byte: number, at: number) => void)[] =
    [];
  #events: Happening[] = [];

  constructor(
    options: {
      readonly lamp?: Lamp;
      readonly firmware?: Partial<FirmwareTraits>;
      readonly links?: Partial<LinkTraits>;
    } = {},
  ) {
    this.#lampFile = options.lamp ?? alcove;
    this.#linkTraits = { ...healthyLinkTraits, ...options.links };
    const traits = { ...healthyFirmware, ...options.firmware };
    this.lamp = new BareLamp(new ReferenceFirmware(this.#lampFile, traits));
    this.lamp.onByte = (link, byte) => {
      for (const listener of this.#listeners) listener(link, byte, this.lamp.time);
    };
    this.runUntil(0.4);
  }

  open(link: string): LampLink {
    const parts = { name: link, lamp: this.#lampFile, side: this, traits: this.#linkTraits };
    const opened = openSimulatedLink(link, parts);
    if (!opened) throw new Error(`the lamp has no ${link}`);
    return opened;
  }

  deliver(at: number, input: LinkInput): void {
    this.#schedule(at, () => {
      this.arrived.push({ at: this.lamp.time, input });
      this.lamp.receive(input);
    });
  }

  #schedule(at: number, act: () => void): void {
    const place = this.#events.findIndex((event) => event.at > at);
    this.#events.splice(place < 0 ? this.#events.length : place, 0, { at, act });
  }

  listen(listener: (link: 'console' | 'dali' | 'dmx', byte: number, at: number) => void): void {
    this.#listeners.push(listener);
  }

  readonly slotLine = {
    freeAt: Number.NEGATIVE_INFINITY,
    framesUntil: Number.NEGATIVE_INFINITY,
    networkFrames: 0,
  };

  upSince(): number {
    return 0;
  }

  reset(at: number): void {
    this.#schedule(at, () => this.lamp.restart());
  }

  dark(): boolean {
    return this.lamp.drives.every((drive) => drive === 0);
  }

  runUntil(instant: number): void {
    while (this.#events[0] && this.#events[0].at <= instant) {
      const { at, act } = this.#events.shift()!;
      this.lamp.run(Math.max(0, at - this.lamp.time));
      act();
    }
    this.lamp.run(Math.max(0, instant - this.lamp.time));
  }
}

export function call(): Call {
  return { signal: new AbortController().signal, deadline: 5 };
}
