import type { DimmingCurve } from '../../../harness/measure/observation.ts';
import { Fade, Fades } from './fades.ts';
import type { FirmwareTraits } from './traits.ts';

/** Dim level and intensities 0..1, by channel number. */
export interface LightTarget {
  readonly level: number;
  readonly intensities: readonly number[];
}

/** How the light goes to a target. */
interface Way {
  /** One of a run of short ways; a channel that goes dark already arrives when it would have, or it would stay at the floor for as long as the run lasts. */
  readonly glide?: boolean;
  /** Dim level that a dark end counts as; without it the bottom of the curve, for each channel by itself. */
  readonly floor?: number;
}

/** Where the inputs meet: dim level x intensity = brightness of each channel, and its way there. */
export class LightControl {
  readonly fades: Fades;
  /** The dim level has a fade of its own, so that queries can tell where it is. It moves when somebody looks. */
  readonly #level: Fade;
  readonly #traits: FirmwareTraits;
  #target: LightTarget;
  #time = 0;
  #orders = 0;
  /** Orders that were received and not yet carried out (a healthy lamp has none). */
  #waiting: {
    readonly at: number;
    readonly to: LightTarget;
    readonly over: number;
    readonly way: Way;
  }[] = [];
  #fadeStarted: number | null = null;
  /** The last order was one of a run of short ways. */
  #gliding = false;

  constructor(channels: number, curve: DimmingCurve, traits: FirmwareTraits) {
    this.fades = new Fades(channels, curve, traits);
    this.#level = new Fade(0, curve, traits);
    this.#traits = traits;
    this.#target = { level: 0, intensities: new Array<number>(channels).fill(1) };
  }

  get target(): LightTarget {
    return this.#target;
  }

  /** The dim level at this moment. */
  get level(): number {
    this.#level.advance(this.#time);
    return this.#level.present;
  }

  /** Orders so far, whatever became of them. */
  get orders(): number {
    return this.#orders;
  }

  get moving(): boolean {
    return this.fades.moving || this.#waiting.length > 0;
  }

  /** Seconds since the start of the running fade; null when none runs. */
  get fadingFor(): number | null {
    return this.#fadeStarted === null ? null : this.#time - this.#fadeStarted;
  }

  /** To a target in `over` seconds. */
  go(to: LightTarget, over: number, way: Way = {}): void {
    const index = this.#orders++;
    if (!this.#traits.obeys(index)) return;
    if (this.#traits.duringFade === 'dropped' && this.moving) return;
    this.#target = to;
    const late = this.#traits.actsAfter(index, this.#waiting.length);
    if (late > 0) this.#waiting.push({ at: this.#time + late, to, over, way });
    else this.#start(to, over, way);
  }

  #start(to: LightTarget, over: number, { glide = false, floor }: Way): void {
    this.#level.advance(this.#time);
    this.#level.order(to.level, over, this.#time, floor);
    // The fade of another link is not its own way.
    const runs = glide && this.#gliding;
    this.#gliding = glide;
    for (const [channel, fade] of this.fades.channels.entries()) {
      const intensity = to.intensities[channel];
      if (intensity === undefined) continue;
      const brightness = this.#traits.product(to.level, intensity, channel);
      if (runs && brightness === 0 && fade.moving && fade.target === 0) continue;
      // A channel that leaves the mix goes out at the bottom.
      const own = floor === undefined || intensity === 0 ? undefined : floor * intensity;
      fade.order(brightness, over, this.#time, own);
    }
    this.#fadeStarted = over > 0 ? this.#time : null;
  }

  /** Stops every channel where it is, in a fade; a glide from one frame of slots to the next is none. The mix of the target stays. */
  hold(): void {
    if (this.#gliding) return;
    this.#level.advance(this.#time);
    this.#level.hold();
    for (const fade of this.fades.channels) fade.hold();
    this.#target = { level: this.level, intensities: this.#target.intensities };
    this.#fadeStarted = null;
  }

  advance(seconds: number): void {
    this.#time += seconds;
    for (;;) {
      const [first] = this.#waiting;
      if (!first || first.at > this.#time) break;
      this.#waiting.shift();
      this.#start(first.to, first.over, first.way);
    }
    this.fades.advance(this.#time);
    if (!this.moving) this.#fadeStarted = null;
  }
}
