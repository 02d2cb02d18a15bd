import { resolve } from 'node:path';
import type { Before, WireFigure } from '../../bench/before-schema.ts';
import type { OpenBench } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import { wireFor } from '../../plan/captures/wire-for.ts';
import { Complaint } from '../complaint.ts';
import type { BeforeCheck } from './before-check.ts';
import { BenchLook, type RigAndLamp } from './bench-look.ts';
import { checkStandard, type StandardRecord } from './check-standard.ts';
import { figureText } from './figure-text.ts';

/** What was looked at, and the control chart of the check standard where there is one. */
export interface CheckedBefore {
  readonly checks: readonly BeforeCheck[];
  readonly chart?: StandardRecord;
}

/**
 * Looks at the bench as `before:` of the rig file asks for: dark, then lit at full level, then the check standard, whose history
 * lies beside `rigFile`. Each check is given to `onCheck`; the first that is not good is the last. Leaves the lamp as it is. Rejects
 * with a BenchError where an instrument fails, with a Complaint where the file asks for what the rig does not have.
 */
export async function checkBefore(
  bench: OpenBench,
  files: RigAndLamp & { readonly rigFile: { readonly file: string } },
  { cwd, signal }: { readonly cwd: string; readonly signal: AbortSignal },
  onCheck: (check: BeforeCheck) => void,
): Promise<CheckedBefore> {
  const { before } = files.rig;
  if (!before) return { checks: [] };
  const look = new BenchLook(bench, files, lookedAt(before, files), signal);
  const checks: BeforeCheck[] = [];
  const note = (check: BeforeCheck): boolean => {
    checks.push(check);
    onCheck(check);
    return check.good;
  };
  for await (const check of checksOf(before, look)) if (!note(check)) return { checks };
  const wanted = before['check-standard'];
  if (!wanted) return { checks };
  const { check, chart } = await checkStandard(wanted, look, resolve(cwd, files.rigFile.file));
  note(check);
  return { checks, chart };
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

/** A neighbour that blinks once a second shows in this, s. */
const darkLength = 1.5;
/** Standard deviations that the highest of some hundred pieces of white noise stays below. */
const highestOfMany = 5;

async function darkCheck(look: BenchLook, most: WireFigure): Promise<BeforeCheck> {
  await look.powerOff();
  const { mean, peak, perPiece } = await look.read(darkLength);
  // Of the noise that the rig file states, the highest of a thousand pieces.
  const noise = (highestOfMany * look.wire.noise) / Math.sqrt(perPiece);
  const good = Math.abs(mean) <= most.value && peak <= most.value + noise;
  const text = `${look.words(mean)} with everything off, ${look.words(peak)} at its peaks; at most ${look.words(most.value)} allowed, and ${look.words(noise)} of noise beside it at the peaks`;
  return { check: 'dark', good, text };
}

async function saturationCheck(look: BenchLook, most: number): Promise<BeforeCheck> {
  await look.light(look.all);
  const { largest, clipped, samples } = await look.read();
  const share = largest / look.wire.fullScale;
  const text = `${percent(share)} of full scale at full level, at most ${percent(most)} allowed; ${clipped} of ${samples} samples clipped, none allowed`;
  return { check: 'saturation', good: share <= most && clipped === 0, text };
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

/** From the lowest to the highest, against the mean. */
function spreadOf(means: readonly number[]): number {
  const mean = means.reduce((sum, each) => sum + each, 0) / means.length;
  return Math.abs((Math.max(...means) - Math.min(...means)) / mean);
}

function percent(share: number): string {
  return `${figureText(Number((100 * share).toPrecision(3)))} %`;
}
