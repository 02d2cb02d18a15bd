import { resolve } from 'node:path';
import { type After, driftLight } from '../../bench/after-schema.ts';
import type { Before } from '../../bench/before-schema.ts';
import type { Beyond } from '../../bench/look-schema.ts';
import type { OpenBench } from '../../bench/ports.ts';
import type { BenchAfter, ReadingBefore } from '../../record/rig-record.ts';
import { wallClock } from '../wall-clock.ts';
import { type BenchCheck, darkCheck, referenceCheck, stableCheck } from './bench-checks.ts';
import { BenchLook } from './bench-look.ts';
import type { LookedRig } from './check-before.ts';
import { checkStandard } from './check-standard.ts';
import { driftCheck, readFullLight } from './drift-check.ts';
import { lookedAtWire } from './looked-at-wire.ts';

/** One check after the last claim, as the record has it. */
export type CheckedAfter = BenchAfter['checks'][number];

/** Who looks, and who hears of it. */
export interface AfterUse {
  readonly cwd: string;
  readonly signal: AbortSignal;
  /** Of the lights that a drift is told against. */
  readonly readBefore: readonly ReadingBefore[];
  onCheck(check: CheckedAfter): void;
}

/**
 * Looks at the bench as `after:` of the rig file asks for: the lamp at full level (once it is as stable as `before:` wants it), dark, and the
 * check standard, whose history lies beside the rig file. All is looked at, also where something was not good: each is a hint at what
 * happened. Needs a lamp as at the beginning of a condition, and leaves it as it is. Rejects with a BenchError where an instrument fails, with
 * a Complaint where a history cannot be kept.
 */
export async function checkAfter(
  bench: OpenBench,
  after: After,
  files: LookedRig,
  use: AfterUse,
): Promise<BenchAfter> {
  const { before } = files.rig;
  const look = new BenchLook(bench, files, lookedAtWire('after', after, files), use.signal);
  const at = wallClock.now();
  const checks: CheckedAfter[] = [];
  const note = ({ check, good, text }: BenchCheck, beyond: Beyond): void => {
    const noted = { check, result: good ? 'good' : beyond === 'note' ? 'noted' : 'broken', text };
    checks.push(noted as CheckedAfter);
    use.onCheck(noted as CheckedAfter);
  };
  const { dark, drift, 'check-standard': wanted } = after;
  const drifts = before && drift ? driftLight(before, after) : null;
  await lookAtFull(look, { before, after, drifts }, use.readBefore, note);
  if (dark) note(await darkCheck(look, dark.most), dark.beyond);
  if (!wanted) return ended(at, checks);
  const rigFile = resolve(use.cwd, files.rigFile.file);
  const { check, chart, reading } = await checkStandard(wanted, look, { rigFile, when: 'after' });
  note(check, wanted.beyond);
  if (drift && drifts === 'standard')
    note(driftCheck(reading, use.readBefore, drift.most), drift.beyond);
  return { ...ended(at, checks), standard: chart };
}

function ended(at: string, checks: readonly CheckedAfter[]): BenchAfter {
  const isBroken = checks.some(({ result }) => result === 'broken');
  return { state: isBroken ? 'broken' : 'good', at, why: null, checks: [...checks] };
}

interface FullLight {
  readonly before: Before | undefined;
  readonly after: After;
  readonly drifts: 'lamp' | 'standard' | null;
}

/** The lamp has been at other levels since: it gets the time to settle that it had before the first claim. */
async function lookAtFull(
  look: BenchLook,
  { before, after, drifts }: FullLight,
  readBefore: readonly ReadingBefore[],
  note: (check: BenchCheck, beyond: Beyond) => void,
): Promise<void> {
  const { reference, drift } = after;
  const drifting = drifts === 'lamp' ? drift : undefined;
  const asked = [reference, drifting].filter((one) => one !== undefined);
  if (asked.length === 0) return;
  await look.powerUp();
  const isSame = before?.signal === after.signal && before.of === after.of;
  if (isSame && before.stable) {
    const isNoted = asked.every(({ beyond }) => beyond === 'note');
    note(await stableCheck(look, before.stable), isNoted ? 'note' : 'stop');
  }
  if (reference) note(await referenceCheck(look, reference), reference.beyond);
  if (drifting)
    note(driftCheck(await readFullLight(look), readBefore, drifting.most), drifting.beyond);
}
