import { resolve } from 'node:path';
import { setFlagsFromString } from 'node:v8';
import { type Command, Option } from 'commander';
import type { Rig } from '../../bench/rig.ts';
import { type CapturesKept, captureChoices } from '../../record/kept-captures.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { renderEventLine, renderStoredLine } from '../../report/exchange/event-line.ts';
import { renderAnnotations } from '../../report/text/annotations.ts';
import { disarmed } from '../../report/text/disarmed.ts';
import { renderQuietSummary, renderSummary } from '../../report/text/summary.ts';
import type { RunListener } from '../../run/engine/events.ts';
import { mostAgain } from '../../verdict/looks.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { isSimulated } from '../../workflow/inputs/read-bench.ts';
import { readFirmware } from '../../workflow/inputs/read-firmware.ts';
import { readRunBench } from '../../workflow/inputs/run-inputs.ts';
import type { Part } from '../../workflow/inputs/shard.ts';
import { readNews } from '../../workflow/news/read-news.ts';
import type { FinishedRun, RunContext, RunRequest } from '../../workflow/running/run-and-store.ts';
import { runOnRig } from '../../workflow/running/run-on-rig.ts';
import { runSimulated } from '../../workflow/running/run-simulated.ts';
import { rigUse } from '../bench/rig-use.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodeOfRun, exitCodes } from '../common/exit-codes.ts';
import { faultOption } from '../common/fault-option.ts';
import { inCi } from '../common/in-ci.ts';
import type { Io } from '../common/io.ts';
import { seedNumber, specPaths, timeWithin, wholeNumber } from '../common/options.ts';
import { runOld, tellChanges } from './against.ts';
import { addJobSummary } from './ci-job.ts';
import { addFailedOptions, askedFailed, type FailedOptions } from './failed-option.ts';
import { firmwareLogView } from './firmware-log-view.ts';
import { heldClaims } from './held-claims.ts';
import { addSelectionOptions } from './selection-options.ts';
import { simulationFlags } from './simulation-flags.ts';
import { refuseSimulationOptions } from './simulation-options.ts';
import { folderName, pageAndJunit, printStoredIn } from './stored-run.ts';
import { tellNews } from './tell-news.ts';
import { quietView, terminalView } from './terminal-view.ts';
import { watchRun } from './watch-run.ts';

interface RunOptions extends FailedOptions {
  readonly rig?: string;
  readonly lamp?: string;
  readonly tag: readonly string[];
  readonly seed: number;
  readonly only: readonly string[];
  readonly shard?: Part;
  readonly quarantine?: string;
  readonly fault: RunRecord['faults'];
  readonly jobs?: number;
  readonly json?: boolean;
  readonly quiet?: boolean;
  readonly firmware?: string;
  readonly against?: string;
  readonly serial?: string;
  readonly flashingOk?: boolean;
  readonly maxBenchErrors?: number;
  readonly retries: number;
  /** s */
  readonly patience: number;
  readonly locks?: string;
  readonly resume?: string;
  readonly captures: CapturesKept;
  readonly operator?: string;
  readonly firmwareLog?: boolean;
  readonly watch?: boolean;
  readonly reuse?: boolean;
  readonly untilDecided?: number;
  readonly news?: string;
}

export function register(command: Command, io: Io): void {
  addOptions(command).action(async (paths: string[], options: RunOptions) => {
    io.exitCode = await withArchive(() =>
      options.watch ? watchSpecs(paths, options, io) : run(paths, options, io),
    );
  });
}

function addOptions(command: Command): Command {
  return addFailedOptions(addSelectionOptions(addOutputOptions(addRigRunOptions(command))))
    .addArgument(specPaths())
    .option('--rig <file>', "rig file (default: the project's, or the simulated one)")
    .option('--lamp <file>', "lamp file (default: the project's, or Alcove-6)")
    .option('--seed <number>', 'seed of the simulated lamp', seedNumber, 1)
    .addOption(faultOption('seed a fault into the simulated lamp; repeatable'))
    .option(
      '--jobs <number>',
      'conditions to run in parallel on the simulated lamp (default: one per core)',
      wholeNumber(1),
    )
    .option('--firmware <file>', 'WebAssembly build of your firmware for the simulated lamp to run')
    .addOption(
      new Option(
        '--against <file>',
        'first run the same with this build of the firmware, and show where light or answers differ',
      ).conflicts('json'),
    )
    .option('--build <name>', 'name of the firmware build, for the record')
    .option(
      '--operator <name>',
      'name of the operator, for the record (default: EVENFALL_OPERATOR)',
    )
    .option('--serial <number>', 'serial number of the lamp, for the record')
    .option(
      '--resume <run>',
      'resume a stored run that was cut off: its folder, or the start of its id',
    )
    .option(
      '--reuse',
      'take results from earlier stored runs where spec, lamp, rig, firmware, seed and program are the same; such a run cannot be signed',
    )
    .option(
      '--until-decided <times>',
      'measure a condition that is inconclusive so many times more, while that may decide it, and judge what all measurements say together',
      wholeNumber(1, mostAgain),
    )
    .option(
      '--watch',
      'rerun on the simulated lamp whenever a file is saved; stores nothing without --out',
    );
}

/** Where a run goes, and what is printed of it. */
function addOutputOptions(command: Command): Command {
  return command
    .option('--out <folder>', 'folder to store the run in (default: reports)')
    .option('--news <file>', 'tell the targets of this file when the run has ended')
    .option('--json', 'print each event of the run as a line of JSON, its folder last')
    .addOption(
      new Option('--quiet', 'print only what did not pass, and one line of counts').conflicts(
        'json',
      ),
    )
    .option('--firmware-log', 'print what the firmware logged, condition by condition')
    .addOption(
      new Option(
        '--captures <which>',
        'captures to keep; without all of them a run can neither be released nor judged again',
      )
        .choices(captureChoices)
        .default('all'),
    );
}

/** What is only asked of a run on a rig. */
function addRigRunOptions(command: Command): Command {
  return command
    .option(
      '--flashing-ok',
      'allow specs that flash at 3 Hz to 70 Hz on a rig (read the cautions in README.md first)',
    )
    .option(
      '--max-bench-errors <number>',
      'stop the run after this many bench errors',
      wholeNumber(),
    )
    .addOption(
      new Option(
        '--patience <time>',
        'how long to wait for an instrument that has gone, before the run is given up',
      )
        .argParser(timeWithin(0, 86_400))
        .default(600, '10 min'),
    )
    .option(
      '--locks <folder>',
      'folder of the locks of rigs and instruments (default: EVENFALL_LOCKS, or the temporary folder)',
    )
    .option('--retries <number>', 'retries of a condition after a bench error', wholeNumber(), 1);
}

/** Every round is a run of its own; a round that is cut off prints nothing. */
function watchSpecs(paths: readonly string[], options: RunOptions, io: Io): Promise<number> {
  if (options.resume !== undefined)
    throw new Complaint('usage', '--watch starts a new run each time: omit --resume');
  if (options.news !== undefined)
    throw new Complaint('usage', '--watch runs at every save, which is no news: omit --news');
  const files = [options.lamp, options.rig, options.firmware].filter((file) => file !== undefined);
  return watchRun({ specs: paths, files }, (round) => run(paths, options, round), io);
}

async function run(paths: readonly string[], options: RunOptions, io: Io): Promise<number> {
  const { tag: tags, only, seed, build, serial, maxBenchErrors, resume, retries } = options;
  const bench = readRunBench(options, io.cwd);
  const news = options.news === undefined ? null : readNews(options.news, io);
  const failedIn = await askedFailed(options, bench.lamp.lamp, io);
  if (failedIn === 'nothing') return exitCodes.pass;
  const stores = !options.watch || options.out !== undefined;
  if (options.reuse && (!stores || resume !== undefined)) throw new Complaint('usage', reuseAlone);
  const request: RunRequest = {
    bench,
    selection: { paths, tags, only, failedIn, part: options.shard },
    seed,
    build,
    serial,
    operator: options.operator ?? io.env['EVENFALL_OPERATOR'],
    quarantine: heldClaims(options.quarantine, io),
    again: askedAgain(options, bench.rig),
    maxBenchErrors,
    store: stores
      ? {
          archive: resolve(io.cwd, options.out ?? 'reports'),
          resume,
          captures: options.captures,
          reuse: options.reuse ?? false,
        }
      : null,
  };
  const context: RunContext = {
    cwd: io.cwd,
    signal: io.interrupted,
    listeners: [viewOf(options, io), ...(options.firmwareLog ? [firmwareLogView(io)] : [])],
    reports: pageAndJunit(),
  };
  if (isSimulated(bench.rig)) {
    for (const flag of simulationFlags(process.versions.node)) setFlagsFromString(flag);
    const { fault: faults, jobs } = options;
    const { firmware: file, against } = options;
    const firmware = file === undefined ? undefined : await readFirmware(file, io.cwd, bench.lamp);
    const simulated = { ...request, faults, jobs };
    const old = against === undefined ? null : await runOld(simulated, against, options, context);
    const finished = await runSimulated({ ...simulated, firmware }, context);
    const exitCode = conclude(finished, options, io);
    await tellNews(news, finished, io);
    if (old) await tellChanges(old, finished, io);
    return exitCode;
  }
  refuseSimulationOptions(options);
  const flashingOk = options.flashingOk ?? false;
  const finished = await runOnRig(
    { ...request, flashingOk, retries, patience: options.patience },
    { ...context, ...rigUse(io, options.locks) },
  );
  const exitCode = conclude(finished, options, io);
  await tellNews(news, finished, io);
  return exitCode;
}

/** Without a guard band nothing is inconclusive for its uncertainty. */
function askedAgain({ untilDecided }: RunOptions, { rig, decision }: Rig): number | undefined {
  if (untilDecided === undefined || decision.rule === 'guarded') return untilDecided;
  throw new Complaint(
    'usage',
    `--until-decided: rig ${rig} has the decision rule simple, by which no uncertainty leaves a value open: omit it, or write "decision: { rule: guarded }" in the rig file`,
  );
}

const reuseAlone =
  '--reuse takes results for a new run that is stored: omit --resume, and add --out to --watch';

function viewOf({ json, quiet }: RunOptions, io: Io): RunListener {
  if (json) return (event) => io.stdout(renderEventLine(event));
  return quiet ? quietView(io) : terminalView(io);
}

/** Prints the outcome; the exit code is that of the run. */
function conclude(
  { record, folder }: FinishedRun,
  { watch, json, quiet }: RunOptions,
  io: Io,
): number {
  if (watch && io.interrupted.aborted) return exitCodeOfRun(record, io);
  if (inCi(io)) addJobSummary(record, io);
  const storedIn = folder === null ? null : folderName(folder, io);
  if (json) {
    if (storedIn !== null) io.stdout(renderStoredLine(storedIn));
    return exitCodeOfRun(record, io);
  }
  const look = { colour: io.colour, columns: io.columns };
  const summary = quiet ? renderQuietSummary(record, look, storedIn) : renderSummary(record, look);
  io.stdout(inCi(io) ? disarmed(summary) : summary);
  if (inCi(io)) io.stdout(renderAnnotations(record));
  if (folder !== null && !quiet) printStoredIn(folder, io);
  return exitCodeOfRun(record, io);
}
