import { sleep } from '../../../drivers/real-clock.ts';
import type { Before, WireFigure } from '../../bench/before-schema.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { LampTarget, OpenBench } from '../../bench/ports.ts';
import type { Rig, Wire } from '../../bench/rig.ts';
import { wireFor } from '../../plan/captures/wire-for.ts';
import { powerUp } from '../../run/condition/power-up.ts';
import { callOn, linkOf, supplyOf } from '../../run/condition/stimulus.ts';
import { Complaint } from '../complaint.ts';
import { figureText } from './figure-text.ts';
import { measureMean } from './measure-mean.ts';

interface RigAndLamp {
  readonly rig: Rig;
  readonly lamp: Lamp;
}

/** One look at the bench before the first claim. */
export interface BeforeCheck {
  readonly check: 'dark' | 'saturation' | 'stable' | 'reference' | 'linearity';
  readonly good: boolean;
  /** What was found and what was allowed. */
  readonly text: string;
}

/** Of each record, s. */
const length = 0.5;
/** After a command, before its light is looked at, s. */
const settling = 0.3;

/**
 * Looks at the bench as `before:` of the rig file asks for: dark, then lit at full level. Each check is given to `onCheck`;
 * the first that is not good is the last. Leaves the lamp as it is. Rejects with a BenchError where an instrument fails, with
 * a Complaint where the file asks for what the rig does not have.
 */
export async function checkBefore(
  bench: OpenBench,
  files: RigAndLamp,
  signal: AbortSignal,
  onCheck: (check: BeforeCheck) => void,
): Promise<readonly BeforeCheck[]> {
  const { before } = files.rig;
  if (!before) return [];
  const look = new BenchLook(bench, files, lookedAt(before, files), signal);
  const checks: BeforeCheck[] = [];
  for await (const check of checksOf(before, look)) {
    checks.push(check);
    onCheck(check);
    if (!check.good) break;
  }
  return checks;
}

async function* checksOf(before: Before, look: BenchLook): AsyncGenerator<BeforeCheck> {
  const { dark, saturation, stable, reference, linearity } = before;
  if (dark) yield await darkCheck(look, dark.most);
  if (saturation || stable || reference || linearity) await look.powerUp();
  if (saturation) yield await saturationCheck(look, saturation.most);
  if (stable) yield await stableCheck(look, stable);
  if (reference) yield await referenceCheck(look, reference);
  if (linearity) yield await linearityCheck(look, linearity.most);
}

/** The wire; its unit has to be that of the figures. */
function lookedAt({ signal, of, dark, reference }: Before, { rig, lamp }: RigAndLamp): Wire {
  const known = of === 'all' || lamp.channels.some(({ channel }) => channel === of);
  const wire = known ? wireFor(signal, of, rig, lamp) : undefined;
  if (!wire)
    throw new Complaint('bad-file', `before: rig ${rig.rig} has no input for ${signal} of ${of}`);
  const figures = [dark?.most, reference?.expected].filter((each): each is WireFigure => !!each);
  const other = figures.find(({ unit }) => unit !== wire.unit);
  if (!other) return wire;
  throw new Complaint(
    'bad-file',
    `before: expected figures in ${wire.unit}, the unit of ${signal} in the wiring, found one in ${other.unit}`,
  );
}

async function darkCheck(look: BenchLook, most: WireFigure): Promise<BeforeCheck> {
  await look.powerOff();
  const { mean } = await look.read();
  const text = `${look.words(mean)} with everything off, at most ${look.words(most.value)} allowed`;
  return { check: 'dark', good: Math.abs(mean) <= most.value, text };
}

async function saturationCheck(look: BenchLook, most: number): Promise<BeforeCheck> {
  await look.light(look.all);
  const { largest } = await look.read();
  const share = largest / look.wire.fullScale;
  const text = `${percent(share)} of full scale at full level, at most ${percent(most)} allowed`;
  return { check: 'saturation', good: share <= most, text };
}

async function stableCheck(
  look: BenchLook,
  { within, over, most }: NonNullable<Before['stable']>,
): Promise<BeforeCheck> {
  await look.light(look.all);
  const began = look.now();
  const seen: { readonly at: number; readonly mean: number }[] = [];
  for (;;) {
    const at = look.now() - began;
    seen.push({ at, mean: (await look.read()).mean });
    const recent = seen.filter((each) => each.at >= at - over);
    const spread = spreadOf(recent.map(({ mean }) => mean));
    const text = `changed by ${percent(spread)} in ${over} s, after ${at.toFixed(0)} s at full level; ${percent(within)} allowed`;
    if (at >= over && spread <= within) return { check: 'stable', good: true, text };
    if (at >= most) return { check: 'stable', good: false, text };
    await look.wait(Math.min(over / 10, Math.max(0.1, most - at)));
  }
}

async function referenceCheck(
  look: BenchLook,
  { expected, within }: NonNullable<Before['reference']>,
): Promise<BeforeCheck> {
  await look.light(look.all);
  const { mean } = await look.read();
  const off = mean / expected.value - 1;
  const text = `${look.words(mean)} at full level, ${percent(off)} from the ${look.words(expected.value)} expected; ± ${percent(within)} allowed`;
  return { check: 'reference', good: Math.abs(off) <= within, text };
}

/** Superposition: light adds up, and what reads it should, too. Droop of the lamp itself counts as the reader's. */
async function linearityCheck(look: BenchLook, most: number): Promise<BeforeCheck> {
  await look.light([]);
  const dark = (await look.read()).mean;
  await look.light(look.all);
  const together = (await look.read()).mean - dark;
  let apart = 0;
  for (const channel of look.all) {
    await look.light([channel]);
    apart += (await look.read()).mean - dark;
  }
  const off = apart === 0 ? Number.POSITIVE_INFINITY : together / apart - 1;
  const text = `all channels together read ${percent(off)} from the sum of each alone; ± ${percent(most)} allowed`;
  return { check: 'linearity', good: Math.abs(off) <= most, text };
}

/** The lamp and the one input that is looked at. */
class BenchLook {
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
    if (rig.supply) {
      const supply = supplyOf(this.#bench, rig);
      await supply.output(false, this.#call(rig, supply.name));
    } else await this.light([]);
    await this.wait(1);
  }

  powerUp(): Promise<void> {
    const { rig, lamp } = this.#files;
    return powerUp(this.#bench, rig, lamp, this.#signal);
  }

  /** These channels at full level, the others dark. */
  async light(channels: readonly string[]): Promise<void> {
    const { rig } = this.#files;
    const link = linkOf({ bench: this.#bench, rig }, undefined);
    const lit = this.all.map((channel) => [channel, channels.includes(channel) ? 1 : 0] as const);
    const target: LampTarget = { level: 1, intensities: Object.fromEntries(lit) };
    await link.set(target, this.#call(rig, link.name));
    await this.wait(settling);
  }

  /** Mean and largest value of a short record, in the unit of the wire. */
  async read(): Promise<{ readonly mean: number; readonly largest: number }> {
    const { scale, offset } = this.wire;
    const { mean, volts } = await measureMean(this.#bench, this.wire, length, this.#signal);
    let largest = 0;
    for (let index = 0; index < volts.length; index++)
      largest = Math.max(largest, Math.abs(((volts[index] ?? 0) - offset) * scale));
    return { mean: (mean - offset) * scale, largest };
  }

  #call(rig: Rig, name: string) {
    return callOn({ rig, signal: this.#signal }, name);
  }
}

/** From the lowest to the highest, against the mean. */
function spreadOf(means: readonly number[]): number {
  const mean = means.reduce((sum, each) => sum + each, 0) / means.length;
  return Math.abs((Math.max(...means) - Math.min(...means)) / mean);
}

function percent(share: number): string {
  return `${figureText(Number((100 * share).toPrecision(3)))} %`;
}
