import type { Call, LampLink, RawMessage, Reply } from '../../harness/bench/ports.ts';
import type { SlotLine } from './slot-line.ts';
import { SlotLinkBase, type SlotLinkParts } from './slot-link-base.ts';
import { frameRate } from './slots.ts';

/** DMX512: the frame is repeated 40 times a second, a fade is a run of frames. */
export class DmxLampLink extends SlotLinkBase<'dmx', SlotLine> implements LampLink {
  constructor(parts: SlotLinkParts<SlotLine>) {
    super(parts, 'dmx', { copies: Number.POSITIVE_INFINITY, keepAlive: 1 / frameRate });
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    this.checkOwn(message);
    this.checkLength(message.slots);
    const slots = Uint8Array.from(message.slots);
    return this.whenReady(call, async (signal) => {
      await this.outlet.free(signal);
      signal.throwIfAborted();
      if (message.startCode === 0) this.stream.goRaw(slots);
      else this.outlet.frame(message.startCode, slots);
      await this.outlet.sent(signal);
      return null;
    });
  }

  /** Between two frames, without a break: a receiver waits for the next one. */
  noise(bytes: Uint8Array, call: Call): Promise<void> {
    return this.whenReady(call, async (signal) => {
      this.outlet.bytes(bytes);
      await this.outlet.sent(signal);
    });
  }

  protected emit(levels: Uint8Array): void {
    this.outlet.frame(0, levels);
  }

  protected async release(): Promise<void> {
    this.stream.stop();
    await this.outlet.close();
  }
}
