import { existsSync, readFileSync } from 'node:fs';
import PQueue from 'p-queue';
import writeFileAtomic from 'write-file-atomic';
import type { Plan } from '../../plan/plan.ts';
import { Complaint } from '../complaint.ts';
import { PlantLane } from '../lanes/plant-lane.ts';
import { harnessVersion } from '../version.ts';
import {
  type ChallengeUnit,
  Interrupted,
  runUnit,
  type UnitResult,
  unitName,
} from './challenge-unit.ts';

/** Verdicts by unit, and in it by spec and the digest of its file: what was changed is run again, the rest is not. */
type Known = Record<string, Record<string, UnitResult[string]>>;

export interface PoolSetup {
  /** Lanes, and so units at a time. */
  readonly jobs: number;
  /** File that keeps the verdicts for a later call; none where null. */
  readonly stateFile: string | null;
  readonly signal: AbortSignal;
  onUnit(unit: FinishedUnit): void;
}

/** A unit that has just been run: how many so far, and its verdicts by spec id. */
export interface FinishedUnit {
  readonly count: number;
  readonly name: string;
  readonly result: UnitResult;
}

/** A worker pool for units of a challenge; verdicts are kept in the state file. */
export class ChallengePool {
  readonly #queue: PQueue;
  readonly #lanes: PlantLane[];
  readonly #setup: PoolSetup;
  readonly #known: Known;
  #saving: Promise<void> = Promise.resolve();
  #done = 0;

  constructor(setup: PoolSetup) {
    this.#setup = setup;
    this.#queue = new PQueue({ concurrency: setup.jobs });
    this.#lanes = Array.from({ length: setup.jobs }, () => new PlantLane());
    this.#known = setup.stateFile === null ? {} : readState(setup.stateFile);
  }

  /** The verdicts of these specs on a lamp; only what is not known yet is run. */
  async run(unit: ChallengeUnit, plans: readonly Plan[]): Promise<UnitResult> {
    const name = unitName(unit);
    const before = this.#known[name] ?? {};
    const missing = plans.filter((plan) => !(keyOf(plan) in before));
    if (missing.length > 0) await this.#queue.add(() => this.#runNow(unit, missing));
    const after = this.#known[name] ?? {};
    return Object.fromEntries(plans.map((plan) => [plan.spec, after[keyOf(plan)]!]));
  }

  async close(): Promise<void> {
    this.#queue.clear();
    await this.#queue.onIdle();
    await this.#saving.catch(() => {});
    for (const lane of this.#lanes) await lane.close();
  }

  async #runNow(unit: ChallengeUnit, plans: readonly Plan[]): Promise<void> {
    if (this.#setup.signal.aborted) throw new Interrupted();
    const lane = this.#lanes.pop()!;
    try {
      const result = await runUnit(unit, plans, lane, this.#setup.signal);
      const verdicts = plans.map((plan) => [keyOf(plan), result[plan.spec]!] as const);
      const name = unitName(unit);
      this.#known[name] = { ...this.#known[name], ...Object.fromEntries(verdicts) };
      this.#setup.onUnit({ count: ++this.#done, name, result });
      await this.#save();
    } finally {
      this.#lanes.push(lane);
    }
  }

  #save(): Promise<void> {
    const file = this.#setup.stateFile;
    if (file === null) return Promise.resolve();
    this.#saving = this.#saving.then(() =>
      writeFileAtomic(file, JSON.stringify({ harness: harnessVersion, units: this.#known })),
    );
    return this.#saving;
  }
}

function keyOf({ spec, digest }: Plan): string {
  return `${spec} ${digest.slice(0, 12)}`;
}

function readState(file: string): Known {
  if (!existsSync(file)) return {};
  let state: { harness?: unknown; units?: unknown } | null;
  try {
    state = JSON.parse(readFileSync(file, 'utf8')) as typeof state;
  } catch {
    throw new Complaint(
      'no-input',
      `--state ${file}: expected the results of an earlier challenge, found no JSON`,
    );
  }
  if (state?.harness === harnessVersion && typeof state.units === 'object' && state.units !== null)
    return state.units as Known;
  throw new Complaint(
    'usage',
    `--state ${file}: expected results of Evenfall ${harnessVersion}, found others; name a new file`,
  );
}
