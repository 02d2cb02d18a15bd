import { type FrameTiming, frameRate } from '../../harness/bench/dmx-timing.ts';
import type { LampProperty } from '../../harness/bench/lamp-properties.ts';
import type {
  Call,
  FrameShape,
  LampLink,
  RawMessage,
  Reply,
  SelfReport,
  Unsaid,
} from '../../harness/bench/ports.ts';
import type { RdmLine } from './rdm/rdm-controller.ts';
import { RdmLamp } from './rdm/rdm-lamp.ts';
import type { SlotLine } from './slot-line.ts';
import { SlotLinkBase, type SlotLinkParts } from './slot-link-base.ts';

/** DMX512: the frame is repeated 40 times a second, a fade is a run of frames. */
export class DmxLampLink extends SlotLinkBase<'dmx', SlotLine> implements LampLink {
  readonly #rdm: RdmLamp;
  /** Of the stream. */
  #shape: FrameShape = {};
  /** Only of a lamp whose file says that it speaks RDM: nobody else ever answers on this line. */
  readonly whoIsLamp?: NonNullable<LampLink['whoIsLamp']>;

  constructor(parts: SlotLinkParts<SlotLine>) {
    super(parts, 'dmx', { copies: Number.POSITIVE_INFINITY, keepAlive: 1 / frameRate });
    const error: DmxLampLink['error'] = (kind, why) => this.error(kind, why);
    const line: RdmLine = {
      talk: (message, all, signal) => this.#talk(message, all, signal),
    };
    this.#rdm = new RdmLamp({ line, clock: this.clock, error });
    if (parts.lamp.links.dmx?.rdm)
      this.whoIsLamp = (call) => this.whenReady(call, (signal) => this.#rdm.whoIsLamp(signal));
  }

  /** By RDM, between two frames. */
  ask(property: LampProperty, call: Call): Promise<SelfReport | Unsaid> {
    return this.whenReady(call, (signal) => this.#rdm.ask(property, signal));
  }

  tell(property: LampProperty, value: number, call: Call): Promise<string | null> {
    return this.whenReady(call, (signal) => this.#rdm.tell(property, value, signal));
  }

  override forget(): void {
    super.forget();
    this.#shape = {};
    this.#rdm.forget();
  }

  shape(frame: FrameShape | null): string | null {
    const why = frame ? this.outlet.cannot(frame) : null;
    if (why !== null) return why;
    this.#shape = frame ?? {};
    this.stream.paced(frame?.rate ?? null);
    return null;
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    this.checkOwn(message);
    this.checkLength(message.slots);
    const { startCode, frame } = message;
    const slots = Uint8Array.from(message.slots);
    return this.whenReady(call, async (signal) => {
      await this.outlet.free(signal);
      signal.throwIfAborted();
      const why = frame ? this.outlet.cannot(frame) : null;
      if (why !== null) throw this.error('unsupported', why);
      if (startCode === 0) {
        this.shape(frame ?? null);
        this.stream.goRaw(slots);
      } else this.#frame(startCode, slots, frame);
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
    const { slots: count = levels.length } = this.#shape;
    const slots = new Uint8Array(count);
    slots.set(levels.subarray(0, count));
    this.#frame(0, slots, this.#shape);
  }

  #frame(startCode: number, slots: Uint8Array, timing?: Partial<FrameTiming>): void {
    const { log } = this;
    this.outlet.frame(
      { startCode, slots, timing },
      log &&
        (({ began, lasted }) => {
          const event = { kind: 'dmx', at: began + lasted, startCode, slots: [...slots] } as const;
          log.sent(event, 'dmx', lasted);
        }),
    );
  }

  /** Messages of RDM are frames, too: a lamp may be told where its slots begin. */
  async #talk(message: Uint8Array, all: boolean, signal: AbortSignal): Promise<Uint8Array> {
    const heard = await this.outlet.talk(message, all, signal);
    const [startCode = 0, ...slots] = message;
    this.log?.sent({ kind: 'dmx', at: this.clock.now(), startCode, slots });
    return heard;
  }

  protected async release(): Promise<void> {
    this.stream.stop();
    await this.outlet.close();
  }
}
