import { availableParallelism } from 'node:os';
import { resolve } from 'node:path';
import type { Command } from 'commander';
import type { Fault } from '../../../drivers/plant/faults/fault.ts';
import { faults as allFaults } from '../../../drivers/plant/faults/faults.ts';
import type { ChallengeRecord } from '../../record/challenge-record.ts';
import { renderChallengePage } from '../../report/pages/challenge-page.ts';
import { renderChallenge } from '../../report/text/challenge-text.ts';
import { counted } from '../../report/words/prose.ts';
import { type ChallengeRequest, challengeSpecs } from '../../workflow/challenge/challenge.ts';
import type { FinishedUnit, PoolSetup } from '../../workflow/challenge/challenge-pool.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { readRunInputs } from '../../workflow/inputs/run-inputs.ts';
import { shippedFile } from '../../workflow/inputs/shipped-file.ts';
import { projectLamp } from '../../workflow/project/project-file.ts';
import { exitCodes } from '../common/exit-codes.ts';
import { knownFault } from '../common/fault-option.ts';
import type { Io } from '../common/io.ts';
import { repeatedOption, specPaths, wholeNumber } from '../common/options.ts';
import { writePage } from '../common/write-page.ts';

interface ChallengeOptions {
  readonly lamp: readonly string[];
  readonly rig?: string;
  readonly tag: readonly string[];
  readonly fault: readonly Fault[];
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

export function register(command: Command, io: Io): void {
  command
    .addArgument(specPaths())
    .addOption(
      repeatedOption(
        '--lamp <file>',
        'lamp file; repeatable: each fault is tried on the first lamp that can have it',
        "the project's, or the shipped lamps",
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
    .addOption(
      repeatedOption('--fault <id>', 'only this seeded fault; repeatable', 'all').argParser(
        (id: string, before: readonly Fault[]) => [...before, knownFault(id)],
      ),
    )
    .option('--seeds <number>', 'number of lamps to seed each fault into', wholeNumber(1), 1)
    .option(
      '--healthy <number>',
      'number of healthy lamps to count false alarms on',
      wholeNumber(),
      20,
    )
    .option('--quick', 'only the claims that a fault names; the others only if those miss it')
    .option('--jobs <number>', 'lamps to run in parallel (default: one per core)', wholeNumber(1))
    .option('--state <file>', 'keep results in this file and resume from it next time')
    .option('--page <file>', 'also write a page with the matrix')
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
  const { tag: tags, rig, seeds, healthy, state } = options;
  const lamps = options.lamp.length > 0 ? options.lamp : usualLamps(io.cwd);
  const request: ChallengeRequest = {
    lamps: lamps.map((lamp) => readRunInputs({ paths, lamp, rig, tags }, io.cwd)),
    faults: options.fault.length > 0 ? options.fault : allFaults,
    seeds,
    healthy,
    quick: options.quick ?? false,
  };
  const pool: PoolSetup = {
    jobs: options.jobs ?? availableParallelism(),
    stateFile: state === undefined ? null : resolve(io.cwd, state),
    signal: io.interrupted,
    onUnit: (unit) => io.stderr(progressLine(unit)),
  };
  const record = await challengeSpecs(request, pool).catch((error: unknown) => {
    throw error instanceof Complaint && error.kind === 'interrupted' ? stopped(state) : error;
  });
  await print(record, options, io);
  return exitCodeOfChallenge(record);
}

function usualLamps(cwd: string): readonly string[] {
  const own = projectLamp(cwd);
  return own === null ? shippedLamps.map((name) => shippedFile(name, cwd)) : [own];
}

function stopped(state: string | undefined): Complaint {
  const next = state === undefined ? '' : `; run again with --state ${state} to resume`;
  return new Complaint('interrupted', `interrupted${next}`);
}

function progressLine({ count, name, result }: FinishedUnit): string {
  const failed = Object.keys(result).filter((spec) => result[spec]?.verdict === 'fail');
  const caught = failed.length > 0 ? failed.join(', ') : 'nothing failed';
  return `${count} ${name}, ${counted(Object.keys(result).length, 'claim')}: ${caught}\n`;
}

async function print(record: ChallengeRecord, options: ChallengeOptions, io: Io): Promise<void> {
  if (options.page !== undefined) await writePage(options.page, renderChallengePage(record), io);
  io.stdout(options.json ? `${JSON.stringify(record, null, 2)}\n` : renderChallenge(record));
}

/** An escape, a claim that cannot fail, or a false alarm is a failure of the specs. */
function exitCodeOfChallenge({ faults, healthy, vacuous }: ChallengeRecord): number {
  const escaped = faults.some(
    ({ caughtBy, notTried }) => notTried === null && caughtBy.length === 0,
  );
  return escaped || vacuous.length > 0 || healthy.falseAlarms > 0 ? exitCodes.fail : exitCodes.pass;
}
