import { sleep } from '../../../drivers/real-clock.ts';
import { BenchError } from '../../bench/errors.ts';
import type { Identity } from '../../bench/ports.ts';
import type { Plan } from '../../plan/plan.ts';
import type { ReadingBefore } from '../../record/rig-record.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { Complaint } from '../complaint.ts';
import { RigLane, type RigLaneOptions } from '../lanes/rig-lane.ts';
import type { BenchWait } from '../lanes/wait-for-bench.ts';
import { wallClock } from '../wall-clock.ts';
import { type AcquiredRig, acquireRig, benchComplaint, type RigFiles } from './acquire-rig.ts';
import { askLamp } from './ask-lamp.ts';
import type { BenchCheck } from './bench-checks.ts';
import { type CheckedAfter, checkAfter } from './check-after.ts';
import { checkBefore } from './check-before.ts';
import { identifyLinks } from './identify-links.ts';
import { compareLamp, type LampMatch, lampSays, type TestedLamp } from './lamp-identity.ts';
import { prepareLamp } from './prepare-lamp.ts';
import { proveSwitch } from './prove-switch.ts';
import { rigAsOpened } from './rig-as-opened.ts';
import type { RigUse } from './rig-event.ts';
import { makeBenchSafe } from './rig-safe.ts';
import { unprovableClaims } from './unprovable-claims.ts';

/** What a run asks for before its first condition. */
export interface RigTerms {
  readonly flashingOk: boolean;
  readonly patience: number;
  readonly keeperOf?: RigLaneOptions['keeperOf'];
  /** What the run says of the lamp, beside its file. */
  readonly tested: Pick<TestedLamp, 'build' | 'serial' | 'firmware'>;
}

/** A rig that is ready for its first condition, and what the record says of its instruments. */
export interface PreparedRig {
  readonly lane: RigLane;
  readonly identities: ReadonlyMap<string, Identity>;
  readonly notes: Readonly<Record<string, string | number>>;
  /** Control chart of the check standard. */
  readonly standard?: RunRecord['rig']['standard'];
  /** What a drift will be told against, where the rig file asks for one. */
  readonly reading?: ReadingBefore;
  /** Claims that these instruments cannot prove, by spec id, with what would be enough. */
  readonly unprovable: ReadonlyMap<string, string>;
  /** What the lamp says of itself, and what of that could not be held against what the run says. */
  readonly says: NonNullable<RunRecord['lamp']['says']>;
  readonly deviations: RunRecord['deviations'];
  /** Closes the lane, dismisses the watchdog and gives the lock up. */
  release(): Promise<void>;
}

/**
 * Everything before the first condition on a rig: cautions, lock, watchdog, instruments, what they can prove, what programs do to the lamp,
 * warm-up, identity of the lamp. Throws a Complaint, after the safe state.
 */
export async function prepareRig(
  files: RigFiles & { readonly plans: readonly Plan[] },
  { flashingOk, patience, tested, keeperOf }: RigTerms,
  use: RigUse,
): Promise<PreparedRig> {
  refuseFlashing(files.plans, flashingOk);
  use.onRigEvent({ event: 'powering-on', chamber: files.rig.chamber !== undefined });
  const acquired = await acquireRig(files, use);
  const { to, bench } = acquired;
  const unprovable = reportUnprovable(files, acquired, use);
  try {
    const prepared = await prepareLamp(bench, files, tested, use);
    await warmUp(files.rig.warmUp, use);
    const links = await identifyLinks(bench, files, use.signal);
    const identities = new Map([...bench.identities, ...links]);
    const words = await askLamp(bench, files.rig, use.signal);
    const match = compareLamp(words, { ...tested, model: files.lamp.lamp });
    refuseAnotherLamp(match);
    const { checks, chart, reading } = await checkBefore(bench, files, use, (check) =>
      use.onRigEvent({ event: 'checked-before', ...check }),
    );
    const proved = await proveSwitch(bench, files.rig, use.signal);
    const onWait = (wait: BenchWait): void => use.onRigEvent({ event: 'bench-wait', ...wait });
    const { guard } = acquired;
    const stopped = stoppedBy(checks);
    const checkAfter = checkAfterOf(files, use);
    const told = {
      ...{ guard, patience, onWait, stopped, ...(keeperOf && { keeperOf }) },
      ...(checkAfter && { checkAfter }),
    };
    const lane = new RigLane(to, bench, identities, told);
    const release = async (): Promise<void> => {
      await lane.close();
      await acquired.release();
    };
    const { deviations } = match;
    const notes = {
      ...bench.notes,
      ...prepared,
      ...notesOf(checks),
      ...(proved !== null && { 'before: switch': proved }),
    };
    const says = lampSays(words);
    const looked = { ...(chart && { standard: chart }), ...(reading && { reading }) };
    return { lane, identities, notes, ...looked, unprovable, deviations, says, release };
  } catch (error) {
    await makeBenchSafe(bench, to);
    await bench.close();
    await acquired.release();
    throw error instanceof BenchError ? benchComplaint(error) : error;
  }
}

/** What is looked at after the last claim; null where the rig file does not ask. */
function checkAfterOf(files: RigFiles, use: RigUse): RigLaneOptions['checkAfter'] | null {
  const { after } = files.rig;
  if (!after) return null;
  return (bench, readBefore, signal) => {
    use.onRigEvent({ event: 'checking-after' });
    const onCheck = (check: CheckedAfter): void =>
      use.onRigEvent({ event: 'checked-after', ...check });
    return checkAfter(bench, after, files, { cwd: use.cwd, signal, readBefore, onCheck });
  };
}

/** Why nothing is run at all; null where all is good. */
function stoppedBy(checks: readonly BenchCheck[]): string | null {
  const bad = checks.find(({ good }) => !good);
  return bad
    ? `before the first claim the bench was not good, ${bad.check}: ${bad.text}; mend it, then resume the run`
    : null;
}

function notesOf(checks: readonly BenchCheck[]): Readonly<Record<string, string>> {
  return Object.fromEntries(checks.map(({ check, text }) => [`before: ${check}`, text]));
}

function refuseAnotherLamp({ contradictions }: LampMatch): void {
  if (contradictions.length === 0) return;
  throw new Complaint(
    'unreachable',
    `${contradictions.join('; ')}. Nothing was run: results would be kept under a wrong name; put the right lamp and build on the bench, or say what is there`,
  );
}

function refuseFlashing(plans: readonly Plan[], flashingOk: boolean): void {
  const flashing = plans.filter(({ tags }) => tags.includes('flashing')).map(({ spec }) => spec);
  if (flashing.length === 0 || flashingOk) return;
  throw new Complaint(
    'usage',
    `${flashing.join(', ')}: light that flashes at 3 Hz to 70 Hz can provoke seizures. Read the cautions in README.md, and warn everyone in the room or close the box`,
    { remedy: 'flashing-ok' },
  );
}

function reportUnprovable(
  files: RigFiles & { readonly plans: readonly Plan[] },
  { bench }: AcquiredRig,
  use: RigUse,
): ReadonlyMap<string, string> {
  const opened = { ...files, rig: rigAsOpened(files.rig, bench) };
  const unprovable = unprovableClaims(opened, wallClock.now().slice(0, 10));
  for (const [spec, why] of unprovable) use.onRigEvent({ event: 'not-provable', spec, why });
  return unprovable;
}

async function warmUp(seconds: number, use: RigUse): Promise<void> {
  if (seconds <= 0) return;
  use.onRigEvent({ event: 'warming-up', seconds });
  await sleep(seconds, use.signal);
}
