import { resolve } from 'node:path';
import { type Command, InvalidArgumentError, Option } from 'commander';
import type { PauseAt } from '../../../drivers/plant/firmware/firmware-pause.ts';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { plainLine } from '../../files/plain-text.ts';
import { readFigure } from '../../files/read-figure.ts';
import { claimCondition } from '../../record/condition-words.ts';
import { shortId } from '../../record/ids.ts';
import { measurementsOf } from '../../record/measurements.ts';
import type { ConditionRecord, RunRecord } from '../../record/run-record.ts';
import { otherFindings } from '../../record/same-result.ts';
import { renderSummary } from '../../report/text/summary.ts';
import { counted } from '../../report/words/prose.ts';
import { judgedOnce } from '../../run/judge/repeated-condition.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { awaitDebugger } from '../../workflow/replaying/await-debugger.ts';
import { replay } from '../../workflow/replaying/replay.ts';
import {
  type Replayed,
  type ReplayInputs,
  readReplayInputs,
} from '../../workflow/replaying/replay-inputs.ts';
import type { FinishedRun } from '../../workflow/running/run-and-store.ts';
import { conditionVcd } from '../archive/export-vcd.ts';
import { readCheckedRun } from '../common/checked-run.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodeOfRun } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { namedClaim, namedCondition } from '../common/named-condition.ts';
import { writeOut } from '../common/write-out.ts';
import { folderName, pageAndJunit, printStoredIn } from './stored-run.ts';
import { quietView } from './terminal-view.ts';

interface Options {
  readonly claim?: string;
  readonly condition?: string;
  readonly firmware?: string;
  readonly specs?: string;
  readonly lamp?: string;
  readonly rig?: string;
  readonly despiteChanges?: boolean;
  readonly out: string;
  readonly vcd?: string;
  readonly transcript?: string;
  readonly pauseAt?: PauseAt;
  readonly reports: string;
}

/** `evenfall replay RUN`: one condition of a stored run once more, with everything recorded. */
export function register(command: Command, io: Io): void {
  command
    .argument('<run>', 'a folder, an id, or latest')
    .option(
      '--claim <name>',
      'the claim (default: the only one of the run, or the only one that failed)',
    )
    .option('--condition <key>', 'its condition (default: that of its worst finding)')
    .option('--firmware <file>', 'the WebAssembly build of the run')
    .option('--specs <path>', 'where to find the spec (default: where it was)')
    .option('--lamp <file>', 'the lamp file of the run, if it has moved')
    .option('--rig <file>', 'the rig file of the run, if it has moved')
    .option(
      '--despite-changes',
      'replay with files that are others than those of the run, such as a build with a remedy',
    )
    .addOption(
      new Option(
        '--pause-at <time>',
        'wait for a debugger, and stop it before the first call of the firmware at or after this time of the condition, or "start"',
      ).argParser(pauseAt),
    )
    .option('--out <folder>', 'folder to store the replay in', 'replays')
    .option('--vcd <file>', 'write it for a waveform viewer, too')
    .option(
      '--transcript <file>',
      'write what passed between firmware and lamp, for a native build of the same sources',
    )
    .option('--reports <dir>', 'the archive', 'reports')
    .action(async (run: string, options: Options) => {
      io.exitCode = await withArchive(() => replayRun(run, options, io));
    });
}

async function replayRun(name: string, options: Options, io: Io): Promise<number> {
  const folder = await findRunFolder(options.reports, name);
  const { record: run } = await readCheckedRun(folder, io);
  const spec = namedClaim(run, options.claim);
  const condition = namedCondition(spec, options.condition);
  const replayed = { run, spec, condition };
  const pauses = options.pauseAt !== undefined;
  const inputs = await readReplayInputs(replayed, { ...options, forDebugger: pauses }, io.cwd);
  tellChanges(inputs, options, io);
  if (pauses) waitForDebugger(inputs, io);
  let transcript: string | null = null;
  const target = {
    archive: resolve(io.cwd, options.out),
    pauseAt: options.pauseAt,
    transcribe: (text: string | null) => void (transcript = text),
  };
  const finished = await replay(replayed, inputs, target, {
    cwd: io.cwd,
    signal: io.interrupted,
    listeners: [quietView(io)],
    reports: pageAndJunit(),
  });
  io.stdout(renderSummary(finished.record, { colour: io.colour, columns: io.columns }));
  tellResult(replayed, finished, io);
  if (options.transcript !== undefined) await writeTranscript(transcript, options.transcript, io);
  if (options.vcd !== undefined) await writeVcd(finished, options.vcd, io);
  if (finished.folder !== null) printStoredIn(finished.folder, io);
  return exitCodeOfRun(finished.record, io);
}

function pauseAt(text: string): PauseAt {
  if (text === 'start') return text;
  const read = readFigure(text, 'time', { least: 0, most: 31 * 86_400 });
  if ('value' in read) return read.value;
  throw new InvalidArgumentError(`${read.problem}, or start.`);
}

/** Says how to attach it, and what a run for a debugger does not have. */
function waitForDebugger({ firmware, inputs: { lamp } }: ReplayInputs, io: Io): void {
  if (lamp.processor)
    io.stderr(
      'The build runs as it is, and its instructions are not counted: its code takes no time, and interrupts do not preempt a main loop.\n',
    );
  if (firmware?.style === 'main-loop')
    io.stderr(
      `A main loop is rewritten so that it can be left in its wait: ${firmware.debug ? 'a source map leads to the lines of what calls, stores or can trap, and variables are not shown' : 'build it with -g to see the lines of its sources'}.\n`,
    );
  awaitDebugger((url) =>
    io.stderr(
      `Waiting for a debugger: open chrome://inspect in a Chromium browser, or attach your editor to Node, at ${url}\nThe lamp's time stands still while it is stopped. The replay ends when it is detached, or by Ctrl-C.\n`,
    ),
  );
}

function tellChanges(
  { changes, otherProgram }: ReplayInputs,
  { despiteChanges = false }: Options,
  io: Io,
): void {
  if (changes.length > 0 && !despiteChanges)
    throw new Complaint(
      'usage',
      `the replay would be of something else than the run: ${changes.join('; ')}. Name the files of the run, or pass --despite-changes`,
    );
  for (const text of [...changes, ...(otherProgram === null ? [] : [otherProgram])])
    io.stderr(`${plainLine(text)}\n`);
}

/** Whether it came out as in the run. */
function tellResult({ run, spec, condition }: Replayed, { record }: FinishedRun, io: Io): void {
  const now = record.specs[0]?.conditions[0];
  if (!now || record.ended !== 'complete') return;
  const others = otherFindings(asReplayed(run, condition), now);
  const where = `${claimCondition(spec.spec, condition.key)} in run ${shortId(run.id)}`;
  const text =
    others.length === 0
      ? `As ${where}: ${sameText(now)}`
      : `Other than ${where}: ${others.map(otherText).join('; ')}`;
  io.stdout(`${plainLine(text)}\n`);
}

/** One measurement at the coverage of one, as a replay judges it. */
function asReplayed({ decision }: RunRecord, condition: ConditionRecord): ConditionRecord {
  const last = measurementsOf(condition).at(-1) ?? condition;
  return decision.again === undefined ? last : judgedOnce(last, decision);
}

function sameText({ findings, verdict }: ConditionRecord): string {
  return `${verdict}, ${counted(findings.length, 'finding')} with the same figures`;
}

function otherText({ before, now }: ReturnType<typeof otherFindings>[number]): string {
  const { title, of } = now ?? before ?? { title: '', of: '' };
  return `${title} of ${of} ${now?.verdict ?? 'is gone'} (before: ${before?.verdict ?? 'none'})`;
}

async function writeTranscript(text: string | null, out: string, io: Io): Promise<void> {
  if (text === null)
    throw new Complaint(
      'usage',
      '--transcript: the condition did not run, or takes more calls than are kept; choose a shorter one',
    );
  await writeOut(out, text);
  io.stdout(`Transcript ${folderName(resolve(io.cwd, out), io)}\n`);
}

async function writeVcd({ record, folder }: FinishedRun, out: string, io: Io): Promise<void> {
  if (folder === null) return;
  await writeOut(out, await conditionVcd(record, folder, {}, io));
  io.stdout(`Waveforms ${folderName(resolve(io.cwd, out), io)}\n`);
}
