import { resolve } from 'node:path';
import { sha256 } from '../../archive/manifest.ts';
import type { Lamp } from '../../bench/lamp.ts';
import { readLamp } from '../../bench/lamp-file.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { BadFiles } from '../../workflow/inputs/bad-files.ts';
import { readBytes } from '../../workflow/inputs/read-bytes.ts';
import { readFile } from '../../workflow/inputs/read-file.ts';
import { readFirmware } from '../../workflow/inputs/read-firmware.ts';
import { readQuarantine } from '../../workflow/inputs/read-quarantine.ts';
import { readSpecs } from '../../workflow/inputs/read-specs.ts';
import { selectPlans } from '../../workflow/inputs/select-plans.ts';
import { usualLamp } from '../../workflow/project/project-file.ts';
import { wallClock } from '../../workflow/wall-clock.ts';
import {
  type InputFile,
  type ScheduleRequest,
  type SubmissionRequest,
  type Submitted,
  submittedSchema,
} from '../protocol.ts';
import { type LabClient, nothing as noContent } from './lab-client.ts';
import { inputName } from './submission-inputs.ts';
import { type ToSend, uploadFor } from './upload.ts';

/** What is to be submitted, by its files here. */
export interface Wanted
  extends Omit<SubmissionRequest, 'lamp' | 'specs' | 'firmware' | 'quarantine' | 'build'> {
  readonly paths: readonly string[];
  readonly lamp: string | undefined;
  readonly firmware: string | undefined;
  readonly quarantine: string | undefined;
  readonly build: string | undefined;
}

/** Largest build that is sent, bytes. */
const mostFirmware = 64 * 2 ** 20;

/** Reads and checks all files here, sends those that the lab lacks, and submits them. Rejects with a Complaint or a Refusal. */
export async function submit(client: LabClient, wanted: Wanted, cwd: string): Promise<Submitted> {
  const { request, files } = await inputsOfRequest(wanted, cwd);
  await client.me();
  const path = '/api/submissions';
  return uploadFor(client, files, () =>
    client.ask({ method: 'POST', path, body: request, answer: submittedSchema }, 60_000),
  );
}

/** The same, to be submitted at its times. */
export async function schedule(
  client: LabClient,
  wanted: Wanted,
  when: Omit<ScheduleRequest, 'request'>,
  cwd: string,
): Promise<void> {
  const { request, files } = await inputsOfRequest(wanted, cwd);
  await client.me();
  const body: ScheduleRequest = { ...when, request };
  await uploadFor(client, files, () =>
    client.ask({ method: 'POST', path: '/api/schedules', body, answer: noContent }, 60_000),
  );
}

/** The lamp of a submission, and its file. Throws a Complaint. */
export function lampToSubmit(
  path: string | undefined,
  cwd: string,
): { readonly lamp: Lamp; readonly file: string } {
  const { text, file } = readFile(path ?? usualLamp(cwd), cwd);
  const read = readLamp(text, file);
  if (!('lamp' in read)) throw new BadFiles(read.issues, nothing);
  return { lamp: read.lamp, file };
}

async function inputsOfRequest(
  wanted: Wanted,
  cwd: string,
): Promise<{ readonly request: SubmissionRequest; readonly files: readonly ToSend[] }> {
  const { paths, lamp: lampPath, firmware, quarantine, build, ...rest } = wanted;
  const files: ToSend[] = [];
  const input = (file: string, content: Uint8Array): InputFile => {
    const digest = sha256(content);
    files.push({ digest, content });
    return { file: inputName(file, cwd), digest };
  };
  const text = (path: string): InputFile => {
    const read = readFile(path, cwd);
    return input(read.file, readBytes(resolve(cwd, read.file), mostFirmware));
  };
  const { lamp, file: lampFile } = lampToSubmit(lampPath, cwd);
  const specs = readSpecs(paths, lamp, cwd);
  if (specs.issues.length > 0) throw new BadFiles(specs.issues, nothing);
  const plans = selectPlans({ ...rest, paths }, specs.plans);
  const flashing = plans.filter(({ tags }) => tags.includes('flashing'));
  if (!wanted.simulated && !wanted.flashingOk && flashing.length > 0)
    throw new Complaint(
      'usage',
      `${flashing.map(({ spec }) => spec).join(', ')}: light that flashes at 3 Hz to 70 Hz can provoke seizures. Read the cautions in README.md`,
      { remedy: 'flashing-ok' },
    );
  if (firmware !== undefined && wanted.simulated) await readFirmware(firmware, cwd, lamp);
  if (quarantine !== undefined) readQuarantine(quarantine, cwd, wallClock.now().slice(0, 10));
  const request = {
    ...rest,
    lamp: text(lampFile),
    specs: plans.map(({ file }) => text(file)),
    ...(firmware !== undefined && { firmware: text(firmware) }),
    ...(quarantine !== undefined && { quarantine: text(quarantine) }),
    ...(build !== undefined && { build }),
  };
  return { request, files };
}

const nothing = 'nothing was submitted';
