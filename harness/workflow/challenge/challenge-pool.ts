import { existsSync, readFileSync } from 'node:fs';
import PQueue from 'p-queue';
import writeFileAtomic from 'write-file-atomic';
import type { Plan } from '../../plan/plan.ts';
import { Complaint } from '../complaint.ts';
import { PlantLane } from '../lanes/plant-lane.ts';
import { harnessVersion } from '../version.ts';
import {
  type ChallengeUnit,
  interrupted,
  runUnit,
  type SpecResult,
  type UnitResult,
  unitName,
} from './challenge-unit.ts';

/** Results by the spec and the digest of its file: what has changed is run again, the rest is not. */
type KnownResults = Readonly<Record<string, SpecResult>>;

export interface PoolSetup {
  /** Workers, and so units at a time. */
  readonly jobs: number;
  /** File that keeps the results for a later call; none where null. */
  readonly stateFile: string | null;
  readonly signal: AbortSignal;
  onUnit(unit: FinishedUnit): void;
}

/** A unit that has just been run: how many so far, and its results by spec id. */
export interface FinishedUnit {
  readonly count: number;
  readonly name: string;
  readonly result: UnitResult;
}

/** A worker pool for the units of a challenge. What it finds out is kept in the state file. */
export class ChallengePool {
  readonly #queue: PQueue;
  readonly #lanes: PlantLane[] = [];
  readonly #idle: PlantLane[] = [];
  readonly #setup: PoolSetup;
  /** By unit. */
  readonly #known: Map<string, KnownResults>;
  #saving: Promise<void> = Promise.resolve();
  #count = 0;

  constructor(setup: PoolSetup) {
    this.#setup = setup;
    this.#queue = new PQueue({ concurrency: setup.jobs });
    this.#known = new Map(setup.stateFile === null ? [] : readState(setup.stateFile));
  }

  /** The results of these specs on a lamp; only what is not known yet is run. */
  async run(unit: ChallengeUnit, plans: readonly Plan[]): Promise<UnitResult> {
    const known = this.#known.get(unitName(unit)) ?? {};
    const missing = plans.filter((plan) => !(keyOf(plan) in known));
    const fresh =
      missing.length > 0 ? await this.#queue.add(() => this.#runNow(unit, missing)) : {};
    const results: Record<string, SpecResult> = {};
    for (const plan of plans) {
      const own = fresh[plan.spec] ?? known[keyOf(plan)];
      if (own !== undefined) results[plan.spec] = own;
    }
    return results;
  }

  async close(): Promise<void> {
    this.#queue.clear();
    await this.#queue.onIdle();
    await this.#saving.catch(() => {});
    for (const lane of this.#lanes) await lane.close();
  }

  async #runNow(unit: ChallengeUnit, plans: readonly Plan[]): Promise<UnitResult> {
    if (this.#setup.signal.aborted) throw interrupted();
    const lane = this.#idle.pop() ?? this.#newLane();
    try {
      const result = await runUnit(unit, plans, lane, this.#setup.signal);
      const name = unitName(unit);
      const results = plans.flatMap((plan) => {
        const own = result[plan.spec];
        return own === undefined ? [] : [[keyOf(plan), own] as const];
      });
      this.#known.set(name, { ...this.#known.get(name), ...Object.fromEntries(results) });
      this.#setup.onUnit({ count: ++this.#count, name, result });
      await this.#save();
      return result;
    } finally {
      this.#idle.push(lane);
    }
  }

  #newLane(): PlantLane {
    const lane = new PlantLane();
    this.#lanes.push(lane);
    return lane;
  }

  #save(): Promise<void> {
    const { stateFile } = this.#setup;
    if (stateFile === null) return Promise.resolve();
    this.#saving = this.#saving.then(() => {
      const state = {
        harness: harnessVersion,
        form: stateForm,
        units: Object.fromEntries(this.#known),
      };
      return writeFileAtomic(stateFile, JSON.stringify(state));
    });
    return this.#saving;
  }
}

/** Rises when what is kept of a unit changes. */
const stateForm = 2;

function keyOf({ spec, digest }: Plan): string {
  return `${spec} ${digest.slice(0, 12)}`;
}

function readState(file: string): [string, KnownResults][] {
  if (!existsSync(file)) return [];
  let state: { harness?: unknown; form?: unknown; units?: unknown } | null;
  try {
    state = JSON.parse(readFileSync(file, 'utf8')) as typeof state;
  } catch {
    throw new Complaint(
      'no-input',
      `expected the results of an earlier challenge in ${file}, found no JSON; name another file`,
    );
  }
  const isOurs = state?.harness === harnessVersion && state.form === stateForm;
  if (isOurs && typeof state?.units === 'object' && state.units !== null)
    return Object.entries(state.units as Record<string, KnownResults>);
  throw new Complaint(
    'usage',
    `expected results of Evenfall ${harnessVersion} in ${file}, found those of another version; name a new file`,
  );
}
