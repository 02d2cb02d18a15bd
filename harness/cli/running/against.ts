import type { CapturesKept } from '../../record/kept-captures.ts';
import { renderLightText } from '../../report/text/light-text.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { readFirmware } from '../../workflow/inputs/read-firmware.ts';
import type { FinishedRun, RunContext } from '../../workflow/running/run-and-store.ts';
import { runSimulated, type SimulatedRunRequest } from '../../workflow/running/run-simulated.ts';
import type { Io } from '../common/io.ts';
import { compareStoredLight } from '../common/light-comparison.ts';
import { folderName } from './stored-run.ts';

interface AgainstOptions {
  readonly resume?: string;
  readonly captures: CapturesKept;
  readonly failed?: boolean;
  readonly failedIn?: string;
}

/** The run of another build of the firmware, which the next one is held against; nothing of it is printed. */
export async function runOld(
  request: Omit<SimulatedRunRequest, 'firmware'>,
  against: string,
  { resume, captures, failed, failedIn }: AgainstOptions,
  context: RunContext,
): Promise<FinishedRun> {
  if (request.store === null || resume !== undefined)
    throw new Complaint('usage', '--against compares two stored runs: omit --watch and --resume');
  if (captures !== 'all' || failed || failedIn !== undefined)
    throw new Complaint(
      'usage',
      '--against needs all captures of all claims: omit --captures, --failed and --failed-in',
    );
  const firmware = await readFirmware(against, context.cwd, request.bench.lamp);
  return runSimulated({ ...request, build: undefined, firmware }, { ...context, listeners: [] });
}

/** What the claims do not say: where light or answers of the two builds differ. */
export async function tellChanges(old: FinishedRun, own: FinishedRun, io: Io): Promise<void> {
  if (old.folder === null || own.folder === null) return;
  const changes = await compareStoredLight(
    { folder: old.folder, record: old.record },
    { folder: own.folder, record: own.record },
  );
  const legend = `A ${old.record.lamp.build}: ${folderName(old.folder, io)}\nB ${own.record.lamp.build}: ${folderName(own.folder, io)}\n`;
  io.stdout(`\n${legend}${renderLightText(changes, { columns: io.columns, all: false })}`);
}
