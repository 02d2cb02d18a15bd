import { availableParallelism } from 'node:os';
import { resolve } from 'node:path';
import type { Command } from 'commander';
import type { Fault } from '../../../drivers/plant/faults/fault.ts';
import { faults as allFaults } from '../../../drivers/plant/faults/faults.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import type { ChallengeRecord } from '../../record/challenge-record.ts';
import { renderChallengePage } from '../../report/pages/challenge-page.ts';
import { renderChallenge } from '../../report/text/challenge-text.ts';
import { counted } from '../../report/words/prose.ts';
import { challengeFault } from '../../workflow/challenge/challenge-fault.ts';
import { ChallengePool, type FinishedUnit } from '../../workflow/challenge/challenge-pool.ts';
import { Interrupted } from '../../workflow/challenge/challenge-unit.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { type RunInputs, readRunInputs } from '../../workflow/inputs/run-inputs.ts';
import { shippedFile } from '../../workflow/inputs/shipped-file.ts';
import { exitCodes, interruptionCode } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { repeatedOption, wholeNumber } from '../common/options.ts';
import { writePage } from '../common/write-page.ts';

interface ChallengeOptions {
  readonly lamp: readonly string[];
  readonly rig?: string;
  readonly tag: readonly string[];
  readonly fault: readonly string[];
  readonly seeds: number;
  readonly healthy: number;
  readonly quick?: boolean;
  readonly jobs?: number;
  readonly state?: string;
  readonly page?: string;
  readonly json?: boolean;
}

/** Between them they can have every fault: DC with converters, mains, and pulse-width modulation. */
const shippedLamps = [
  'lamps/alcove-6.lamp.yaml',
  'lamps/alcove-1.lamp.yaml',
  'lamps/alcove-pwm.lamp.yaml',
];

/** First seed of the healthy lamps: none of them is a lamp that a fault was seeded into. */
const firstHealthySeed = 1_000_001;

export function register(command: Command, io: Io): void {
  command
    .argument('[paths...]', 'spec files, or folders with *.spec.yaml files', ['specs'])
    .addOption(
      repeatedOption(
        '--lamp <file>',
        'lamp file; repeatable: each fault is tried on the first lamp that can have it',
        'the shipped lamps',
      ),
    )
    .option('--rig <file>', 'simulated rig (default: the shipped rig)')
    .addOption(
      repeatedOption(
        '--tag <tag>',
        'only specs with this tag; repeat for any of several',
        'all specs',
      ),
    )
    .addOption(repeatedOption('--fault <id>', 'only this seeded fault; repeatable', 'all'))
    .option('--seeds <number>', 'number of lamps to seed each fault into', wholeNumber(1), 1)
    .option(
      '--healthy <number>',
      'number of number of healthy lamps to count false alarms on',
      wholeNumber(),
      20,
    )
    .option('--quick', 'only the claims that a fault names; the others only if those miss it')
    .option('--jobs <number>', 'lamps to run in parallel (default: one per core)', wholeNumber(1))
    .option('--state <file>', 'keep results in this file and resume from it next time')
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
  const files =
    options.lamp.length > 0 ? options.lamp : shippedLamps.map((name) => shippedFile(name, io.cwd));
  const lamps = files.map((lamp) =>
    readRunInputs({ paths, lamp, rig: options.rig, tags: options.tag }, io.cwd),
  );
  const chosen = options.fault.length > 0 ? options.fault.map(faultOf) : allFaults;
  const jobs = options.jobs ?? availableParallelism();
  const pool = new ChallengePool({
    jobs,
    stateFile: options.state === undefined ? null : resolve(io.cwd, options.state),
    signal: io.interrupted,
    onUnit: (unit) => io.stderr(progressLine(unit)),
  });
  const seeds = Array.from({ length: options.seeds }, (_, index) => index + 1);
  const trial = { pool, lamps, seeds, quick: options.quick === true };
  try {
    const faults = await Promise.all(chosen.map((fault) => challengeFault(fault, trial)));
    const healthy = await healthyLamps(pool, lamps, options.healthy);
    const record: ChallengeRecord = {
      format: 'evenfall-challenge',
      version: 1,
      lamps: lamps.map(({ lamp }) => lamp.lamp),
      specs: lamps[0]!.plans.map(({ spec }) => spec),
      seeds: options.seeds,
      faults,
      healthy,
    };
    await print(record, options, io);
    return exitCodeOf(record);
  } catch (error) {
    if (!(error instanceof Interrupted)) throw error;
    io.stderr(
      `interrupted${options.state ? `; run again with --state ${options.state} to resume` : ''}\n`,
    );
    return interruptionCode(io);
  } finally {
    await pool.close();
  }
}

/** The lamps of several files take turns. */
async function healthyLamps(
  pool: ChallengePool,
  files: readonly RunInputs[],
  lamps: number,
): Promise<ChallengeRecord['healthy']> {
  const results = await Promise.all(
    Array.from({ length: lamps }, (_, index) => {
      const inputs = files[index % files.length]!;
      return pool.run({ inputs, fault: null, seed: firstHealthySeed + index }, inputs.plans);
    }),
  );
  const isUndecided = (verdict: string): boolean =>
    verdict === 'inconclusive' || verdict === 'error';
  const bySpec: Record<string, number> = {};
  for (const [spec, verdict] of results.flatMap((result) => Object.entries(result))) {
    if (verdict === 'fail' || isUndecided(verdict)) bySpec[spec] = (bySpec[spec] ?? 0) + 1;
  }
  return {
    lamps,
    falseAlarms: results.filter((result) => Object.values(result).includes('fail')).length,
    undecided: results.filter((result) => Object.values(result).some(isUndecided)).length,
    bySpec,
  };
}

function progressLine({ count, name, result }: FinishedUnit): string {
  const failed = Object.keys(result).filter((spec) => result[spec] === 'fail');
  const caught = failed.length > 0 ? failed.join(', ') : 'nothing failed';
  return `${count} ${name}, ${counted(Object.keys(result).length, 'claim')}: ${caught}\n`;
}

async function print(record: ChallengeRecord, options: ChallengeOptions, io: Io): Promise<void> {
  if (options.page !== undefined) await writePage(options.page, renderChallengePage(record), io);
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
  throw new Complaint('usage', `--fault ${id}: no such seeded fault${guess}`);
}
