import { sleep } from '../../../drivers/real-clock.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { LampTarget, OpenBench } from '../../bench/ports.ts';
import type { Rig, Wire } from '../../bench/rig.ts';
import { powerUp } from '../../run/condition/power-up.ts';
import { callOn, linkOf } from '../../run/condition/stimulus.ts';
import { lampPower } from '../../run/power/lamp-power.ts';
import { figureText } from './figure-text.ts';
import { measureMean } from './measure-mean.ts';

export interface RigAndLamp {
  readonly rig: Rig;
  readonly lamp: Lamp;
}

/** Of each record, s. */
const usualLength = 0.5;
/** What flickers shows in means over so long: half a period of twice the mains frequency has several, s. */
const pieceLength = 2e-3;
/** After a command, before its light is looked at, s. */
const settling = 0.3;

export interface Look {
  readonly mean: number;
  /** Standard uncertainty of the mean. */
  readonly standard: number;
  /** Greatest magnitude of a sample. */
  readonly largest: number;
  /** Samples at an end of the converter's range, of so many. */
  readonly clipped: number;
  readonly samples: number;
  /** Greatest magnitude of a mean over a few milliseconds, of so many samples. */
  readonly peak: number;
  readonly perPiece: number;
}

/** Means of neighbouring pieces. */
function peakOf(values: Float64Array, perPiece: number): Pick<Look, 'peak' | 'perPiece'> {
  let peak = 0;
  for (let from = 0; from + perPiece <= values.length; from += perPiece) {
    let sum = 0;
    for (let k = from; k < from + perPiece; k++) sum += values[k] ?? 0;
    peak = Math.max(peak, Math.abs(sum / perPiece));
  }
  return { peak, perPiece };
}

/** The lamp and the one input that is looked at. */
export class BenchLook {
  readonly wire: Wire;
  /** Names of all channels. */
  readonly all: readonly string[];
  readonly #bench: OpenBench;
  readonly #files: RigAndLamp;
  readonly #signal: AbortSignal;

  constructor(bench: OpenBench, files: RigAndLamp, wire: Wire, signal: AbortSignal) {
    this.wire = wire;
    this.all = files.lamp.channels.map(({ channel }) => channel);
    this.#bench = bench;
    this.#files = files;
    this.#signal = signal;
  }

  now(): number {
    return this.#bench.clock.now();
  }

  wait(seconds: number): Promise<void> {
    return sleep(seconds, this.#signal);
  }

  words(value: number): string {
    return `${figureText(Number(value.toPrecision(4)))} ${this.wire.unit}`;
  }

  async powerOff(): Promise<void> {
    const { rig } = this.#files;
    const power = lampPower(this.#bench, rig);
    if (power) await power.output(false, this.#call(rig, power.name));
    else await this.light([]);
    await this.wait(1);
  }

  powerUp(): Promise<void> {
    const { rig, lamp } = this.#files;
    return powerUp(this.#bench, rig, lamp, this.#signal);
  }

  /** These channels at this level, the others dark. */
  async light(channels: readonly string[], level = 1): Promise<void> {
    const { rig } = this.#files;
    const link = linkOf({ bench: this.#bench, rig }, undefined);
    const lit = this.all.map((channel) => [channel, channels.includes(channel) ? 1 : 0] as const);
    const target: LampTarget = { level, intensities: Object.fromEntries(lit) };
    await link.set(target, this.#call(rig, link.name));
    await this.wait(settling);
  }

  /** A short record, in the unit of the wire. */
  async read(length = usualLength): Promise<Look> {
    const { scale, offset } = this.wire;
    const { mean, standard, volts, rate, clipped } = await measureMean(
      this.#bench,
      this.wire,
      length,
      this.#signal,
    );
    let largest = 0;
    for (let index = 0; index < volts.length; index++)
      largest = Math.max(largest, Math.abs(((volts[index] ?? 0) - offset) * scale));
    return {
      mean: (mean - offset) * scale,
      standard: Math.abs(standard * scale),
      largest,
      clipped,
      samples: volts.length,
      ...peakOf(
        volts.map((value) => (value - offset) * scale),
        Math.max(1, Math.round(pieceLength * rate)),
      ),
    };
  }

  #call(rig: Rig, name: string) {
    return callOn({ rig, signal: this.#signal }, name);
  }
}
