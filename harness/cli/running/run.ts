import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Command } from 'commander';
import {
  FirmwareLoadError,
  firmwareImage,
} from '../../../drivers/plant/firmware/firmware-image.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { renderEventLine } from '../../report/exchange/event-line.ts';
import { renderAnnotations } from '../../report/text/annotations.ts';
import { renderSummary } from '../../report/text/summary.ts';
import { disarmed } from '../../report/words/plain-text.ts';
import { runSpecs } from '../../run/engine/engine.ts';
import type { RunListener } from '../../run/engine/events.ts';
import type { Lane } from '../../run/engine/lane.ts';
import { Complaint } from '../../workflow/complaint.ts';
import type { Bench } from '../../workflow/inputs/read-bench.ts';
import { readFault } from '../../workflow/inputs/read-fault.ts';
import {
  type RunInputs,
  readRunBench,
  readRunSpecs,
  type Selection,
} from '../../workflow/inputs/run-inputs.ts';
import { PlantLane, type PlantWorkerData } from '../../workflow/lanes/plant-lane.ts';
import { openPlantLanes } from '../../workflow/lanes/plant-lanes.ts';
import { type RigRun, startRigRun } from '../../workflow/rig/take-rig.ts';
import { draftRecord, isSimulated } from '../../workflow/running/draft-record.ts';
import { findResumedRun, keepConditions, resumedDraft } from '../../workflow/running/resume-run.ts';
import { RunStore, storingListener } from '../../workflow/running/run-store.ts';
import { rigUse } from '../bench/rig-news.ts';
import { withArchive } from '../common/archive-complaint.ts';
import type { Io } from '../common/io.ts';
import { repeatedOption, seedNumber, wholeNumber } from '../common/options.ts';
import { addJobSummary, inCi } from './ci-job.ts';
import { pageAndJunit } from './page-and-junit.ts';
import { exitCodeOf } from './run-exit-code.ts';
import { tellWhereStored } from './tell-where-stored.ts';
import { terminalView } from './terminal-view.ts';
import { watchRun } from './watch-run.ts';

interface RunOptions {
  readonly rig?: string;
  readonly lamp?: string;
  readonly tag: readonly string[];
  readonly seed: number;
  readonly fault: readonly string[];
  readonly jobs?: number;
  readonly out?: string;
  readonly json?: boolean;
  readonly firmware?: string;
  readonly build?: string;
  readonly serial?: string;
  readonly flashingOk?: boolean;
  readonly maxBenchErrors?: number;
  readonly retries: number;
  readonly resume?: string;
  readonly operator?: string;
  readonly watch?: boolean;
}

export function register(command: Command, io: Io): void {
  command
    .argument('[paths...]', 'spec files, or folders with *.spec.yaml files', ['specs'])
    .option('--rig <file>', 'rig file (default: the simulated rig)')
    .option('--lamp <file>', 'lamp file (default: Alcove-6)')
    .addOption(
      repeatedOption(
        '--tag <tag>',
        'only specs with this tag; repeat for any of several',
        'all specs',
      ),
    )
    .option('--seed <number>', 'seed of the simulated lamp', seedNumber, 1)
    .addOption(
      repeatedOption('--fault <id[=size]>', 'seed a fault into the simulated lamp; repeatable'),
    )
    .option(
      '--jobs <number>',
      'conditions to run in parallel on the simulated lamp (default: one per core)',
      wholeNumber(1),
    )
    .option('--out <folder>', 'folder to store the run in (default: reports)')
    .option('--json', 'print each event of the run as a line of JSON')
    .option(
      '--firmware <file>',
      'run this WebAssembly build of your firmware in the simulated lamp',
    )
    .option('--build <name>', 'name of the firmware build, for the record')
    .option(
      '--operator <name>',
      'name of the operator, for the record (default: EVENFALL_OPERATOR)',
    )
    .option('--serial <number>', 'serial number of the lamp, for the record')
    .option(
      '--flashing-ok',
      'allow specs that flash at 3 Hz to 70 Hz on a rig (read the cautions in README.md)',
    )
    .option(
      '--max-bench-errors <number>',
      'stop the run after this many bench errors',
      wholeNumber(),
    )
    .option('--retries <number>', 'retries of a condition after a bench error', wholeNumber(), 1)
    .option(
      '--resume <run>',
      'resume a stored run that was cut off: its folder, or the start of its id',
    )
    .option(
      '--watch',
      'rerun on the simulated lamp whenever a file is saved; stores nothing without --out',
    )
    .action(async (paths: string[], options: RunOptions) => {
      io.exitCode = await withArchive(() =>
        options.watch ? watchSpecs(paths, options, io) : run(paths, options, io),
      );
    });
}

/** Every round is a run of its own; only a whole one is told. */
function watchSpecs(paths: readonly string[], options: RunOptions, io: Io): Promise<number> {
  if (options.resume !== undefined)
    throw new Complaint('usage', '--watch starts a new run each time: omit --resume');
  const files = [options.lamp, options.rig, options.firmware].filter((file) => file !== undefined);
  return watchRun({ specs: paths, files }, (round) => run(paths, options, round), io);
}

async function run(paths: readonly string[], options: RunOptions, io: Io): Promise<number> {
  const bench = readRunBench(options, io.cwd);
  const selection = { paths, tags: options.tag };
  if (isSimulated(bench.rig)) return runSimulated(selection, bench, options, io);
  if (options.watch)
    throw new Complaint('usage', '--watch works only with the simulated lamp: omit --rig');
  const inputs = readRunSpecs(selection, bench, io.cwd);
  refuseSimulation(options);
  const rig = await startRigRun(inputs, { flashingOk: options.flashingOk ?? false }, rigUse(io));
  try {
    return await runOn([rig.lane], { paths, options, inputs, faults: [], rig }, io);
  } finally {
    await rig.lane.close();
    await rig.leave();
  }
}

async function runSimulated(
  selection: Pick<Selection, 'paths' | 'tags'>,
  bench: Bench,
  options: RunOptions,
  io: Io,
): Promise<number> {
  const faults = options.fault.map(readFault);
  const firmware = options.firmware === undefined ? undefined : readFirmware(options.firmware, io);
  const first = new PlantLane(firmware);
  // It takes as long to load as the specs take to be read.
  first.start();
  let lanes: readonly Lane[] = [first];
  try {
    const inputs = readRunSpecs(selection, bench, io.cwd);
    const conditions = inputs.plans.reduce(
      (sum, plan) => sum + plan.conditions.length * plan.repeat,
      0,
    );
    lanes = openPlantLanes(first, options.jobs, conditions, firmware);
    return await runOn(lanes, { ...selection, options, inputs, faults, firmware }, io);
  } finally {
    await Promise.all(lanes.map((lane) => lane.close()));
  }
}

interface RunParts {
  readonly paths: readonly string[];
  readonly options: RunOptions;
  readonly inputs: RunInputs;
  readonly faults: RunRecord['faults'];
  readonly firmware?: PlantWorkerData['firmware'];
  /** Absent on the simulated lamp. */
  readonly rig?: RigRun;
}

async function runOn(
  lanes: readonly Lane[],
  { paths, options, inputs, faults, firmware, rig }: RunParts,
  io: Io,
): Promise<number> {
  const root = resolve(io.cwd, options.out ?? 'reports');
  const stores = !options.watch || options.out !== undefined;
  const fresh = draftRecord({
    ...inputs,
    paths,
    faults,
    seed: options.seed,
    tags: options.tag,
    build: options.build ?? firmware?.name ?? 'reference',
    serial: options.serial ?? (rig ? 'not given' : 'simulated'),
    firmware: firmwareRecord(firmware),
    commit: null,
    identities: rig?.identities ?? new Map(),
    notes: rig?.notes ?? {},
    operator: options.operator ?? io.env['EVENFALL_OPERATOR'],
    startedAt: new Date().toISOString(),
  });
  const resumed =
    options.resume === undefined ? null : await findResumedRun(root, options.resume, fresh);
  const draft = resumed ? resumedDraft(fresh, resumed) : fresh;
  const store = new RunStore(root, pageAndJunit(), resumed?.folder);
  const storing = storingListener(store, async () => {
    if (resumed) await keepConditions(resumed, store);
  });
  try {
    const record = await runSpecs({
      ...inputs,
      seed: options.seed,
      faults,
      lanes,
      draft,
      listeners: [...(stores ? [storing] : []), tellTo(options, io)],
      signal: io.interrupted,
      wall: { now: () => new Date().toISOString(), seconds: () => performance.now() / 1000 },
      ...(resumed ? { done: resumed.done } : {}),
      ...(rig ? { unprovable: rig.unprovable } : {}),
      retries: rig ? options.retries : 0,
      ...(options.maxBenchErrors === undefined ? {} : { maxBenchErrors: options.maxBenchErrors }),
    });
    const cutShort = options.watch && io.interrupted.aborted;
    if (!cutShort) conclude(record, store, options, io);
    return exitCodeOf(record, io);
  } finally {
    await store.close();
  }
}

/** Seeded faults and builds for the host say nothing about the lamp on a rig. */
function refuseSimulation({ fault, firmware, jobs }: RunOptions): void {
  const simulated = [
    ...(fault.length > 0 ? ['--fault'] : []),
    ...(firmware === undefined ? [] : ['--firmware']),
    ...(jobs === undefined ? [] : ['--jobs']),
  ];
  if (simulated.length === 0) return;
  throw new Complaint(
    'usage',
    `${simulated.join(' and ')}: only for the simulated lamp; omit with a rig of real instruments (--build names the build for the record)`,
  );
}

/** `--json`: events as lines on stdout. Else the terminal view on stderr. */
function tellTo(options: RunOptions, io: Io): RunListener {
  if (options.json) return (event) => io.stdout(renderEventLine(event));
  return terminalView(io);
}

function conclude(record: RunRecord, store: RunStore, options: RunOptions, io: Io): void {
  if (inCi(io)) addJobSummary(record, io);
  if (options.json) return;
  const summary = renderSummary(record, { colour: io.colour, columns: io.columns });
  io.stdout(inCi(io) ? disarmed(summary) : summary);
  if (inCi(io)) io.stdout(renderAnnotations(record));
  if (store.path === null) return;
  tellWhereStored(store.path, io);
}

function readFirmware(file: string, io: Io): NonNullable<PlantWorkerData['firmware']> {
  try {
    const bytes = readFileSync(resolve(io.cwd, file));
    const name = file.split('/').at(-1) ?? file;
    // Looked at before anything starts: a build that cannot run is a bad file, not a failing lamp.
    firmwareImage(bytes, name);
    return { name, bytes };
  } catch (error) {
    if (error instanceof FirmwareLoadError)
      throw new Complaint('bad-file', `--firmware: ${error.message}`);
    const code = (error as NodeJS.ErrnoException).code ?? 'unreadable';
    throw new Complaint(
      'no-input',
      `--firmware: expected a WebAssembly file at ${file}, found none (${code})`,
    );
  }
}

function firmwareRecord(firmware: PlantWorkerData['firmware']): RunRecord['lamp']['firmware'] {
  if (!firmware) return { kind: 'reference', name: 'reference firmware', digest: null };
  const digest = createHash('sha256').update(firmware.bytes).digest('hex');
  return { kind: 'wasm', name: firmware.name, digest };
}
