import { existsSync, readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { resolve } from 'node:path';
import { type Command, InvalidArgumentError } from 'commander';
import PQueue from 'p-queue';
import writeFileAtomic from 'write-file-atomic';
import type { Fault } from '../../drivers/plant/faults/fault.ts';
import { faults as allFaults } from '../../drivers/plant/faults/faults.ts';
import { didYouMean } from '../files/did-you-mean.ts';
import type { ChallengedFault, ChallengeRecord } from '../record/challenge-record.ts';
import { renderChallengePage } from '../report/challenge-page.ts';
import { renderChallenge } from '../report/challenge-text.ts';
import { unmetNeed } from '../spec/unmet-need.ts';
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
import { type RunInputs, readRunInputs } from './run-inputs.ts';

interface ChallengeOptions {
  readonly lamp?: string;
  readonly rig?: string;
  readonly tag: readonly string[];
  readonly fault: readonly string[];
  readonly seeds: number;
  readonly healthy: number;
  readonly jobs?: number;
  readonly state?: string;
  readonly page?: string;
  readonly json?: boolean;
}

/** First seed of the healthy lamps: none of them is a lamp that a fault was seeded into. */
const firstHealthySeed = 1_000_001;

export function register(command: Command, io: Io): void {
  command
    .argument('[paths...]', 'spec files, or folders with *.spec.yaml files', ['specs'])
    .option('--lamp <file>', 'lamp file (default: Alcove-6)')
    .option('--rig <file>', 'simulated rig (default: the shipped one)')
    .option('--tag <tag>', 'only specs with this tag; several: any of them', collect, [])
    .option('--fault <id>', 'only this seeded fault; may be given again', collect, [])
    .option('--seeds <number>', 'lamps that each fault is seeded into', wholeNumber, 1)
    .option('--healthy <number>', 'healthy lamps to count false alarms on', wholeNumber, 20)
    .option('--jobs <number>', 'lamps at a time (default: one per core)', wholeNumber)
    .option('--state <file>', 'keep results in this file and go on from it when called again')
    .option('--page <file>', 'write the matrix as a page')
    .option('--json', 'print one JSON document')
    .action(async (paths: string[], options: ChallengeOptions) => {
      io.exitCode = await challenge(paths, options, io);
    });
}

async function challenge(
  paths: readonly string[],
  options: ChallengeOptions,
  io: Io,
): Promise<number> {
  const inputs = readRunInputs(
    { paths, lamp: options.lamp, rig: options.rig, tags: options.tag },
    io,
  );
  const chosen = options.fault.length > 0 ? options.fault.map(faultOf) : allFaults;
  const ring = new Ring(inputs, options, io);
  try {
    const faults = await Promise.all(chosen.map((fault) => challengeFault(fault, ring, options)));
    const healthy = await healthyLamps(ring, options.healthy);
    const record: ChallengeRecord = {
      format: 'evenfall-challenge',
      version: 1,
      lamp: inputs.lamp.lamp,
      specs: inputs.plans.map(({ spec }) => spec),
      seeds: options.seeds,
      faults,
      healthy,
    };
    await print(record, options, io);
    return exitCodeOf(record);
  } catch (error) {
    if (!(error instanceof Interrupted)) throw error;
    io.stderr(
      `interrupted${options.state ? `; call it again with --state ${options.state} to go on` : ''}\n`,
    );
    return io.interrupted.reason === 'SIGTERM' ? exitCodes.terminated : exitCodes.interrupted;
  } finally {
    await ring.close();
  }
}

/** All at the nominal size; then smaller and smaller with the specs that caught it, until none does. */
async function challengeFault(
  fault: Fault,
  ring: Ring,
  options: ChallengeOptions,
): Promise<ChallengedFault> {
  const { id, title, family, size, sizes } = fault;
  const known = { fault: id, title, family, unit: size.unit, nominalSize: size.nominal };
  const nothing = { caughtBy: [], sometimesBy: [], missedBy: [], smallestSizeCaught: null };
  const unmet = unmetNeed(fault.needs ?? {}, ring.inputs.lamp);
  if (unmet) return { ...known, ...nothing, notTried: unmet };
  const seeds = Array.from({ length: options.seeds }, (_, index) => index + 1);
  const caught = await caughtAt(id, size.nominal, seeds, ring);
  const smaller = sizes.filter((other) => isSmaller(other, size.nominal, sizes)).reverse();
  let smallest = caught.always.length > 0 ? size.nominal : null;
  for (const other of smallest === null ? [] : smaller) {
    const here = await caughtAt(id, other, seeds, ring, caught.always);
    if (here.always.length === 0) break;
    smallest = other;
  }
  const ran = ring.inputs.plans.map(({ spec }) => spec);
  return {
    ...known,
    caughtBy: caught.always,
    sometimesBy: caught.sometimes,
    missedBy: fault.caughtBy.filter((spec) => ran.includes(spec) && !caught.always.includes(spec)),
    smallestSizeCaught: smallest,
    notTried: null,
  };
}

/** The sizes run from barely there to gross, whichever way the figure goes. */
function isSmaller(size: number, nominal: number, sizes: readonly number[]): boolean {
  return sizes.indexOf(size) < sizes.indexOf(nominal);
}

async function caughtAt(
  fault: string,
  size: number,
  seeds: readonly number[],
  ring: Ring,
  specs?: readonly string[],
): Promise<{ always: string[]; sometimes: string[] }> {
  const results = await Promise.all(
    seeds.map((seed) => ring.run({ fault: { fault, size }, seed }, specs)),
  );
  const names = [...new Set(results.flatMap(({ failed }) => failed))];
  const always = names.filter((name) => results.every(({ failed }) => failed.includes(name)));
  return { always, sometimes: names.filter((name) => !always.includes(name)) };
}

async function healthyLamps(ring: Ring, lamps: number): Promise<ChallengeRecord['healthy']> {
  const seeds = Array.from({ length: lamps }, (_, index) => firstHealthySeed + index);
  const results = await Promise.all(seeds.map((seed) => ring.run({ fault: null, seed })));
  const bySpec: Record<string, number> = {};
  for (const { failed, undecided } of results) {
    for (const spec of [...failed, ...undecided]) bySpec[spec] = (bySpec[spec] ?? 0) + 1;
  }
  return {
    lamps,
    falseAlarms: results.filter(({ failed }) => failed.length > 0).length,
    undecided: results.filter(({ undecided }) => undecided.length > 0).length,
    bySpec,
  };
}

/** Runs units on as many lanes as there are cores, and remembers their results in the state file. */
class Ring {
  readonly inputs: RunInputs;
  readonly #queue: PQueue;
  readonly #lanes: PlantLane[];
  readonly #io: Io;
  readonly #file: string | null;
  readonly #known: Record<string, UnitResult>;
  #saving: Promise<void> = Promise.resolve();
  #done = 0;

  constructor(inputs: RunInputs, options: ChallengeOptions, io: Io) {
    const jobs = Math.max(1, options.jobs ?? availableParallelism());
    this.inputs = inputs;
    this.#queue = new PQueue({ concurrency: jobs });
    this.#lanes = Array.from({ length: jobs }, () => new PlantLane());
    this.#io = io;
    this.#file = options.state === undefined ? null : resolve(io.cwd, options.state);
    this.#known = this.#file === null ? {} : readState(this.#file, stateKey(inputs));
  }

  async run(unit: ChallengeUnit, specs?: readonly string[]): Promise<UnitResult> {
    const name = unitName(unit);
    const known = this.#known[name];
    if (known) return known;
    return this.#queue.add(async () => {
      if (this.#io.interrupted.aborted) throw new Interrupted();
      const lane = this.#lanes.pop()!;
      try {
        const plans = this.inputs.plans.filter(({ spec }) => !specs || specs.includes(spec));
        const result = await runUnit(unit, plans, this.inputs, lane, this.#io.interrupted);
        this.#known[name] = result;
        this.#tell(name, result);
        await this.#save();
        return result;
      } finally {
        this.#lanes.push(lane);
      }
    });
  }

  async close(): Promise<void> {
    this.#queue.clear();
    await this.#queue.onIdle();
    await this.#saving.catch(() => {});
    for (const lane of this.#lanes) await lane.close();
  }

  #tell(name: string, { failed }: UnitResult): void {
    this.#done++;
    const caught = failed.length > 0 ? failed.join(', ') : 'nothing failed';
    this.#io.stderr(`${this.#done} ${name}: ${caught}\n`);
  }

  #save(): Promise<void> {
    const file = this.#file;
    if (file === null) return Promise.resolve();
    const text = JSON.stringify({ key: stateKey(this.inputs), units: this.#known });
    this.#saving = this.#saving.then(() => writeFileAtomic(file, text));
    return this.#saving;
  }
}

/** Results belong to these very specs, this lamp and this rig. */
function stateKey({ plans, lampFile, rigFile }: RunInputs): string {
  return [lampFile.digest, rigFile.digest, ...plans.map(({ digest }) => digest)].join(' ');
}

function readState(file: string, key: string): Record<string, UnitResult> {
  if (!existsSync(file)) return {};
  let state: { key?: unknown; units?: unknown };
  try {
    state = JSON.parse(readFileSync(file, 'utf8')) as typeof state;
  } catch {
    throw new Complaint(
      exitCodes.noInput,
      `--state ${file}: expected the results of an earlier challenge, found no JSON`,
    );
  }
  if (state.key === key && typeof state.units === 'object')
    return state.units as Record<string, UnitResult>;
  throw new Complaint(
    exitCodes.usage,
    `--state ${file} holds results of other specs, another lamp or another rig; name a new file`,
  );
}

async function print(record: ChallengeRecord, options: ChallengeOptions, io: Io): Promise<void> {
  if (options.page !== undefined)
    await writeFileAtomic(resolve(io.cwd, options.page), renderChallengePage(record));
  io.stdout(options.json ? `${JSON.stringify(record, null, 2)}\n` : renderChallenge(record));
}

/** An escape or a false alarm is a failure of the specs. */
function exitCodeOf({ faults, healthy }: ChallengeRecord): number {
  const escaped = faults.some(
    ({ caughtBy, notTried }) => notTried === null && caughtBy.length === 0,
  );
  return escaped || healthy.falseAlarms > 0 ? exitCodes.fail : exitCodes.pass;
}

function faultOf(id: string): Fault {
  const fault = allFaults.find((known) => known.id === id);
  if (fault) return fault;
  const guess = didYouMean(
    id,
    allFaults.map((known) => known.id),
  );
  throw new Complaint(exitCodes.usage, `--fault ${id}: no such seeded fault${guess}`);
}

function collect(value: string, before: readonly string[]): readonly string[] {
  return [...before, value];
}

function wholeNumber(text: string): number {
  if (/^\d{1,7}$/.test(text)) return Number(text);
  throw new InvalidArgumentError(`expected a whole number, found "${text}".`);
}
