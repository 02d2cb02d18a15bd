import { type OpenRig, openRig, type RigToOpen } from '../../../drivers/open-rig.ts';
import { BenchError } from '../../bench/errors.ts';
import type { Identity, Instrument, LampLink, OpenBench, PieceKeeper } from '../../bench/ports.ts';
import { notChecked } from '../../record/bench-after.ts';
import type { BenchAfter, ReadingBefore } from '../../record/rig-record.ts';
import { conditionResult } from '../../run/condition/condition-result.ts';
import { Gathered } from '../../run/condition/gathered.ts';
import { makeSafe } from '../../run/condition/make-safe.ts';
import { runCondition } from '../../run/condition/run-condition.ts';
import type { ConditionResult, ConditionTask, Lane } from '../../run/engine/lane.ts';
import { lampPower } from '../../run/power/lamp-power.ts';
import { supplyMustBeOff } from '../../run/power/must-be-off.ts';
import { TakenRecords } from '../../run/take/taken-records.ts';
import { identifyLinks } from '../rig/identify-links.ts';
import type { RigGuard } from '../rig/rig-guard.ts';
import { makeBenchSafe } from '../rig/rig-safe.ts';
import { wallClock } from '../wall-clock.ts';
import { type BenchWait, goneText, isAway, waitForBench } from './wait-for-bench.ts';

/** Without power for this long a lamp has forgotten what it was told, s (common practice, no source). */
const powerOffTime = 0.5;

/** What a lane of a rig is told beside its bench. */
export interface RigLaneOptions {
  /** Tells when the rig is ours no more. */
  readonly guard?: Pick<RigGuard, 'lost' | 'signal' | 'othersNow'>;
  /** How long instruments that have gone are waited for, s; the run is given up after it. Absent: not at all. */
  readonly patience?: number;
  /** Hears what is waited for, and when it is back. */
  readonly onWait?: (wait: BenchWait) => void;
  /** Why nothing can be run here from the beginning: the first condition is an error, and the run ends. */
  readonly stopped?: string | null;
  /** Checks a fresh bench after the last condition; absent where nobody asks for it. */
  readonly checkAfter?: (
    bench: OpenBench,
    readBefore: readonly ReadingBefore[],
    signal: AbortSignal,
  ) => Promise<BenchAfter>;
  /** Who keeps what a condition brings while it is under way. */
  readonly keeperOf?: (task: ConditionTask) => PieceKeeper | undefined;
}

/**
 * The rig: one condition after another on the same open bench. Each begins like on the bench before it: streams ended,
 * the lamp's power taken away and given back (or its light off, where the rig has no supply). After a bench error
 * the rig is made safe and its instruments are closed; the next condition opens them again, and all of them, the lamp
 * too, have to be who they were. Instruments that do not come back are waited for.
 */
export class RigLane implements Lane {
  readonly #to: RigToOpen;
  readonly #known: ReadonlyMap<string, Identity>;
  readonly #taken = new TakenRecords();
  readonly #options: RigLaneOptions;
  #bench: OpenRig | null;
  /** Why the bench did not come back. */
  #gone: string | null = null;

  /** `known`: what the instruments said of themselves when the run began. */
  constructor(
    to: RigToOpen,
    bench: OpenRig,
    known: ReadonlyMap<string, Identity>,
    options: RigLaneOptions = {},
  ) {
    this.#to = to;
    this.#bench = bench;
    this.#known = known;
    this.#options = options;
    this.#gone = options.stopped ?? null;
  }

  async execute(task: ConditionTask, signal: AbortSignal): Promise<ConditionResult> {
    const { guard } = this.#options;
    const both = guard ? AbortSignal.any([signal, guard.signal]) : signal;
    const wall = { wallNow: wallClock.now };
    if (this.#gone !== null) return refused(task, this.#gone);
    try {
      const pieces = this.#options.keeperOf?.(task);
      const open = async () => ({
        ...(await this.#freshBench(both)),
        ...(pieces && { pieces }),
      });
      const result = await runCondition(task, open, both, wall);
      const lost = guard?.lost() ?? null;
      if (lost !== null) return onLostBench(result, lost);
      if (result.condition.verdict === 'error' && result.condition.findings.length === 0)
        await this.#giveUpBench();
      return result;
    } catch (error) {
      await this.#giveUpBench();
      throw error;
    }
  }

  /** Begins as a condition does. After an instrument that fails in it the bench is opened anew. */
  async checkAfter(
    readBefore: readonly ReadingBefore[],
    signal: AbortSignal,
  ): Promise<BenchAfter | null> {
    const { guard, checkAfter } = this.#options;
    if (!checkAfter) return null;
    const before = this.lost();
    if (before !== null) return notChecked('failed', before);
    const both = guard ? AbortSignal.any([signal, guard.signal]) : signal;
    try {
      const found = await checkAfter(await this.#freshBench(both), readBefore, both);
      const lost = this.lost();
      return lost === null ? found : notChecked('failed', lost);
    } catch (error) {
      if (!guard?.lost()) await this.#giveUpBench();
      const why = guard?.lost() ?? (error instanceof Error ? error.message : String(error));
      return signal.aborted ? notChecked('not checked', why) : notChecked('failed', why);
    }
  }

  lost(): string | null {
    return this.#options.guard?.lost() ?? this.#gone;
  }

  safe(): Promise<{ readonly confirmed: boolean; readonly detail: string }> {
    // Another run has it by now: whatever is sent would be a trouble of that one.
    if (this.#options.guard?.othersNow) {
      const detail = 'the rig is held by another run, and was not touched';
      return Promise.resolve({ confirmed: false, detail });
    }
    return makeBenchSafe(this.#bench, this.#to);
  }

  async close(): Promise<void> {
    const held = this.#bench;
    this.#bench = null;
    await held?.close();
  }

  /** The bench with a lamp that knows nothing of the condition before. Its `close` leaves it open for the next one. */
  async #freshBench(signal: AbortSignal): Promise<OpenBench> {
    const bench = this.#bench ?? (await this.#openAgain(signal));
    bench.forgetProbes();
    await restoreLamp(bench, this.#to, signal);
    return { ...bench, taken: this.#taken, close: () => Promise.resolve() };
  }

  async #openAgain(signal: AbortSignal): Promise<OpenRig> {
    const { patience = 0, onWait } = this.#options;
    try {
      return await waitForBench(() => this.#openOnce(signal), { patience, signal, onWait });
    } catch (error) {
      if (patience > 0 && isAway(error)) this.#gone = goneText(error, patience);
      throw error;
    }
  }

  async #openOnce(signal: AbortSignal): Promise<OpenRig> {
    await this.close();
    const bench = await openRig({ ...this.#to, signal });
    this.#taken.forgetProofs();
    // From here on `safe` and `close` are answerable for it.
    this.#bench = bench;
    const links = await identifyLinks(bench, this.#to, signal);
    for (const [name, identity] of [...bench.identities, ...links])
      mustBeTheSame(name, this.#known.get(name), identity);
    return bench;
  }

  async #giveUpBench(): Promise<void> {
    const held = this.#bench;
    this.#bench = null;
    if (!held) return;
    await makeSafe(held, this.#to.rig, { keepAir: true });
    await held.close();
  }
}

/** A condition that is not tried. */
function refused(task: ConditionTask, reason: string): ConditionResult {
  const startedAt = wallClock.now();
  const ending = { verdict: 'error', reason } as const;
  return conditionResult(task, { startedAt, duration: 0 }, new Gathered(), ending);
}

/** A verdict on light that somebody else may have switched off: none. What was recorded is kept. */
function onLostBench({ condition, captures }: ConditionResult, lost: string): ConditionResult {
  return { condition: { ...condition, verdict: 'error', reason: lost, findings: [] }, captures };
}

/** The rig file may expect nothing of an instrument; whoever comes back has to be who was there. */
function mustBeTheSame(name: string, before: Identity | undefined, now: Identity): void {
  if (!before || before.raw === now.raw) return;
  throw new BenchError(
    'identity-mismatch',
    name,
    `${name}: "${before.raw}" answered when the run began, now "${now.raw}" does; was it exchanged, or restarted with another firmware? Start a new run`,
  );
}

async function restoreLamp(
  bench: OpenBench,
  { rig, lamp }: RigToOpen,
  signal: AbortSignal,
): Promise<void> {
  const deadlines = new Map(rig.instruments.map(({ name, deadline }) => [name, deadline]));
  const call = (name: string) => ({ signal, deadline: deadlines.get(name) ?? 5 });
  const links = [...bench.instruments.values()].filter(isLink);
  const power = lampPower(bench, rig);
  if (power) {
    await power.output(false, call(power.name));
    for (const link of links) link.forget?.();
    await bench.clock.waitUntil(bench.clock.now() + powerOffTime, signal);
    if (power.name !== rig.supply?.instrument) return;
    const switched = { volts: lamp.supply.nominal, since: powerOffTime };
    await supplyMustBeOff(bench, rig, switched, call(power.name));
    return;
  }
  for (const link of links) link.forget?.();
  for (const link of links) await link.safe(call(link.name));
  for (const link of links) link.forget?.();
}

function isLink(instrument: Instrument): instrument is LampLink {
  return instrument.kind === 'lamp-link';
}
