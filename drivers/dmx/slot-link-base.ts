import { mostSlots, type SlotLink } from '../../harness/bench/lamp.ts';
import type { Call, Departure, Identity, LampTarget } from '../../harness/bench/ports.ts';
import { LinkBase, type LinkParts } from '../link-base.ts';
import type { Outlet } from '../transport/outlet.ts';
import { type Pace, SlotStream } from './slot-stream.ts';

export interface SlotLinkParts<Out extends Outlet> extends LinkParts {
  readonly slots: SlotLink;
  readonly outlet: Out;
  /** What identifies the sender's side: nobody answers on these links. */
  readonly model: string;
}

/** What DMX512 and sACN have in common: a stream of slots that nobody answers. */
export abstract class SlotLinkBase<
  Name extends 'dmx' | 'sacn',
  Out extends Outlet,
> extends LinkBase<Name> {
  protected readonly outlet: Out;
  protected readonly stream: SlotStream;
  readonly #model: string;
  #firstFrame: Departure | null = null;

  constructor({ outlet, slots, model, ...parts }: SlotLinkParts<Out>, link: Name, pace: Pace) {
    super(parts, link);
    this.outlet = outlet;
    this.#model = model;
    const emit = (levels: Uint8Array): void => this.emit(levels);
    this.stream = new SlotStream({
      lamp: parts.lamp,
      clock: parts.clock,
      slots,
      pace,
      outlet,
      emit,
    });
  }

  /** Hands levels to the outlet. */
  protected abstract emit(levels: Uint8Array): void;

  identify(call: Call): Promise<Identity> {
    const model = this.#model;
    return this.whenReady(call, async () => {
      return { maker: 'Evenfall', model, serial: '0', firmware: '0', raw: `Evenfall, ${model}` };
    });
  }

  set(target: LampTarget, call: Call): Promise<void> {
    return this.fade(target, 0, call);
  }

  /** Resolves when the first frame has left; the others follow by themselves. */
  fade(target: LampTarget, over: number, call: Call): Promise<void> {
    return this.whenReady(call, async (signal) => {
      await this.outlet.free(signal);
      signal.throwIfAborted();
      this.stream.go(target, over);
      this.#firstFrame = await this.outlet.sent(signal);
    });
  }

  get firstFrame(): Departure | null {
    return this.#firstFrame;
  }

  override carry(on: boolean, call: Call): Promise<void> {
    return this.whenReady(call, async () => {
      if (on) this.stream.resume();
      else this.stream.stop();
    });
  }

  forget(): void {
    this.stream.forget();
  }

  /** There is no way back: dark is sent, and never confirmed. */
  async safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    await this.set({ level: 0, intensities: {} }, call);
    return { confirmed: false };
  }

  protected whenReady<T>(call: Call, work: (signal: AbortSignal) => Promise<T>): Promise<T> {
    return this.within(call, async (signal) => {
      await this.outlet.ready(signal);
      return work(signal);
    });
  }

  protected checkLength(slots: readonly number[]): void {
    if (slots.length > mostSlots)
      throw this.error('unsupported', `it carries at most ${mostSlots} slots, not ${slots.length}`);
  }
}
