import { existsSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import PQueue from 'p-queue';
import writeFileAtomic from 'write-file-atomic';
import type { Plan } from '../plan/plan.ts';
import {
  type ChallengeUnit,
  Interrupted,
  runUnit,
  type UnitResult,
  unitName,
} from './challenge-unit.ts';
import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';
import type { Io } from './io.ts';
import { PlantLane } from './plant-lane.ts';
import { harnessVersion } from './version.ts';

/** Verdicts by unit, and in it by spec and the digest of its file: what was changed is run again, the rest is not. */
type Known = Record<string, Record<string, UnitResult[string]>>;

/** Runs units on a number of lanes, and remembers their verdicts in the state file. */
export class ChallengeRing {
  readonly #queue: PQueue;
  readonly #lanes: PlantLane[];
  readonly #io: Io;
  readonly #file: string | null;
  readonly #known: Known;
  #saving: Promise<void> = Promise.resolve();
  #done = 0;

  constructor(jobs: number, state: string | undefined, io: Io) {
    this.#queue = new PQueue({ concurrency: jobs });
    this.#lanes = Array.from({ length: jobs }, () => new PlantLane());
    this.#io = io;
    this.#file = state === undefined ? null : resolve(io.cwd, state);
    this.#known = this.#file === null ? {} : readState(this.#file);
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
    if (this.#io.interrupted.aborted) throw new Interrupted();
    const lane = this.#lanes.pop()!;
    try {
      const result = await runUnit(unit, plans, lane, this.#io.interrupted);
      const verdicts = plans.map((plan) => [keyOf(plan), result[plan.spec]!] as const);
      const name = unitName(unit);
      this.#known[name] = { ...this.#known[name], ...Object.fromEntries(verdicts) };
      this.#tell(name, plans.length, result);
      await this.#save();
    } finally {
      this.#lanes.push(lane);
    }
  }

  #tell(name: string, claims: number, result: UnitResult): void {
    this.#done++;
    const failed = Object.keys(result).filter((spec) => result[spec] === 'fail');
    const caught = failed.length > 0 ? failed.join(', ') : 'nothing failed';
    const count = `${claims} claim${claims === 1 ? '' : 's'}`;
    this.#io.stderr(`${this.#done} ${name}, ${count}: ${caught}\n`);
  }

  #save(): Promise<void> {
    const file = this.#file;
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
      exitCodes.noInput,
      `--state ${file}: expected the results of an earlier challenge, found no JSON`,
    );
  }
  if (state?.harness === harnessVersion && typeof state.units === 'object' && state.units !== null)
    return state.units as Known;
  throw new Complaint(
    exitCodes.usage,
    `--state ${file}: expected results of Evenfall ${harnessVersion}, found others; name a new file`,
  );
}
