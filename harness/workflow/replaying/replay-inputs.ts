import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import { claimCondition } from '../../record/condition-words.ts';
import type { ConditionRecord, RunRecord, SpecRecord } from '../../record/run-record.ts';
import { Complaint } from '../complaint.ts';
import { readFirmware } from '../inputs/read-firmware.ts';
import { type RunInputs, readRunBench, readRunSpecs } from '../inputs/run-inputs.ts';
import { programDigest } from '../running/program-digest.ts';
import { harnessVersion } from '../version.ts';

/** One condition of a stored run. */
export interface Replayed {
  readonly run: RunRecord;
  readonly spec: SpecRecord;
  readonly condition: ConditionRecord;
}

/** Where its inputs are now; where the run had them, where absent. */
export interface ReplayFiles {
  readonly specs?: string | undefined;
  readonly lamp?: string | undefined;
  readonly rig?: string | undefined;
  readonly firmware?: string | undefined;
  /** For a debugger: firmware of the user's, as it was built, without the count of its instructions. */
  readonly forDebugger?: boolean;
}

/** What a condition is replayed with: its plan has no other condition. */
export interface ReplayInputs {
  readonly inputs: RunInputs;
  readonly firmware: FirmwareImage | undefined;
  /** What is not as it was in the run, a clause each; of these its result may be another. */
  readonly changes: readonly string[];
  /** The program is another than the run's, in a clause; null where it is the same. */
  readonly otherProgram: string | null;
}

/** Reads what a condition of a run on the simulated lamp came from. Throws a Complaint where it is not to be had any more. */
export async function readReplayInputs(
  { run, spec, condition }: Replayed,
  files: ReplayFiles,
  cwd: string,
): Promise<ReplayInputs> {
  if (!run.rig.simulated)
    throw new Complaint(
      'usage',
      `run ${run.id} was taken on rig ${run.rig.name}; only runs on the simulated lamp can be replayed`,
    );
  const lamp = files.lamp ?? run.lamp.file;
  const bench = readRunBench({ lamp, rig: files.rig ?? run.rig.file }, cwd);
  const read = readRunSpecs(
    { paths: [files.specs ?? spec.file], tags: [], only: [spec.spec] },
    bench,
    cwd,
  );
  const [plan] = read.plans;
  const conditions = plan?.conditions.filter(({ key }) => key === condition.key) ?? [];
  if (!plan || conditions.length === 0)
    throw new Complaint(
      'no-input',
      `${spec.file} has no condition ${claimCondition(spec.spec, condition.key)} any more, which run ${run.id} has`,
    );
  const firmware = await firmwareOf(run, files.firmware, cwd, files.forDebugger ? {} : bench.lamp);
  if (files.forDebugger && !firmware)
    throw new Complaint(
      'usage',
      `a debugger can be stopped in firmware of your own alone, and run ${run.id} is of the reference firmware`,
    );
  const changes = [
    changed(`the lamp file ${read.lampFile.file}`, read.lampFile.digest, run.lamp.digest),
    changed(`the rig file ${read.rigFile.file}`, read.rigFile.digest, run.rig.digest),
    changed(`the spec ${plan.file}`, plan.digest, spec.digest),
    changed(
      `the firmware ${firmware?.name ?? '(the reference firmware)'}`,
      firmware?.digest ?? null,
      run.lamp.firmware.digest,
    ),
  ].filter((text) => text !== null);
  const inputs = { ...read, plans: [{ ...plan, repeat: 1, conditions }] };
  return { inputs, firmware, changes, otherProgram: otherProgram(run) };
}

async function firmwareOf(
  { id, lamp: { firmware } }: RunRecord,
  file: string | undefined,
  cwd: string,
  lamp: Parameters<typeof readFirmware>[2],
): Promise<FirmwareImage | undefined> {
  if (file !== undefined) return readFirmware(file, cwd, lamp);
  if (firmware.digest === null) return undefined;
  throw new Complaint(
    'usage',
    `run ${id} is of the firmware ${firmware.name} (sha256 ${short(firmware.digest)}), which a stored run does not hold; name its file with --firmware`,
  );
}

function changed(what: string, found: string | null, expected: string | null): string | null {
  if (found === expected) return null;
  return `${what} is another (sha256 ${short(found)}, in the run ${short(expected)})`;
}

function short(digest: string | null): string {
  return digest === null ? 'none' : `${digest.slice(0, 12)}…`;
}

function otherProgram({ harness: { version, node, code } }: RunRecord): string | null {
  const ours = process.versions.node;
  if (version === harnessVersion && node === ours && code === programDigest()) return null;
  const names = version === harnessVersion && node === ours ? 'another build of it' : '';
  return `the run was made by Evenfall ${version} on Node ${node}, this is ${names || `${harnessVersion} on Node ${ours}`}`;
}
