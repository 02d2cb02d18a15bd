import { resolve } from 'node:path';
import { driftLight } from '../../bench/after-schema.ts';
import type { Before } from '../../bench/before-schema.ts';
import type { OpenBench } from '../../bench/ports.ts';
import type { ReadingBefore } from '../../record/rig-record.ts';
import {
  type BenchCheck,
  darkCheck,
  linearityCheck,
  referenceCheck,
  saturationCheck,
  stableCheck,
} from './bench-checks.ts';
import { BenchLook, type RigAndLamp } from './bench-look.ts';
import { checkStandard, type StandardRecord } from './check-standard.ts';
import { readFullLight } from './drift-check.ts';
import { lookedAtWire } from './looked-at-wire.ts';

/** What was looked at, and the control chart of the check standard where there is one. */
export interface CheckedBefore {
  readonly checks: readonly BenchCheck[];
  readonly chart?: StandardRecord;
  /** What a drift will be told against, where `after:` asks for one. */
  readonly reading?: ReadingBefore;
}

/** A rig whose file is known: histories lie beside it. */
export type LookedRig = RigAndLamp & { readonly rigFile: { readonly file: string } };

/**
 * Looks at the bench as `before:` of the rig file asks for: dark, then lit at full level, then the check standard, whose history
 * lies beside `rigFile`. Each check is given to `onCheck`; the first that is not good is the last. Leaves the lamp as it is. Rejects
 * with a BenchError where an instrument fails, with a Complaint where the file asks for what the rig does not have.
 */
export async function checkBefore(
  bench: OpenBench,
  files: LookedRig,
  { cwd, signal }: { readonly cwd: string; readonly signal: AbortSignal },
  onCheck: (check: BenchCheck) => void,
): Promise<CheckedBefore> {
  const { before, after } = files.rig;
  if (after) lookedAtWire('after', after, files);
  if (!before) return { checks: [] };
  const look = new BenchLook(bench, files, lookedAtWire('before', before, files), signal);
  const checks: BenchCheck[] = [];
  const note = (check: BenchCheck): boolean => {
    checks.push(check);
    onCheck(check);
    return check.good;
  };
  const drifts = after?.drift ? driftLight(before, after) : null;
  let full: ReadingBefore | undefined;
  const atFull = async (): Promise<void> => {
    if (drifts === 'lamp') full = await readFullLight(look);
  };
  for await (const check of checksOf(before, look, atFull)) if (!note(check)) return { checks };
  const read = full && { reading: full };
  const wanted = before['check-standard'];
  if (!wanted) return { checks, ...read };
  const rigFile = resolve(cwd, files.rigFile.file);
  const { check, chart, reading } = await checkStandard(wanted, look, { rigFile });
  note({ ...check, good: check.good || wanted.beyond === 'note' });
  return { checks, chart, ...(drifts === 'standard' ? { reading } : read) };
}

/** `atFull` reads what it needs while the lamp is settled at full level. */
async function* checksOf(
  before: Before,
  look: BenchLook,
  atFull: () => Promise<void>,
): AsyncGenerator<BenchCheck> {
  const { dark, saturation, stable, reference, linearity } = before;
  if (dark) yield await darkCheck(look, dark.most);
  if (saturation || stable || reference || linearity) await look.powerUp();
  if (saturation) yield await saturationCheck(look, saturation.most);
  if (stable) yield await stableCheck(look, stable);
  if (reference) yield await referenceCheck(look, reference);
  if (stable || reference) await atFull();
  if (linearity) yield await linearityCheck(look, linearity.most);
}
