import { dirname, resolve } from 'node:path';
import type { OpenRig } from '../../../drivers/open-rig.ts';
import { runProgram } from '../../../drivers/transport/run-program.ts';
import { BenchError } from '../../bench/errors.ts';
import type { PrepareStep } from '../../bench/prepare-schema.ts';
import { plainLine } from '../../files/plain-text.ts';
import { powerUp } from '../../run/condition/power-up.ts';
import { Complaint } from '../complaint.ts';
import type { RigFiles } from './acquire-rig.ts';
import type { TestedLamp } from './lamp-identity.ts';
import type { RigUse } from './rig-event.ts';

/** Characters of a step's output that the record and messages show. */
const shown = 160;

/**
 * Gives the lamp power and takes the steps that the rig file asks for before a run, in the rig file's folder: each program gets one line of JSON on stdin that says
 * which lamp, build and serial number are to be tested, and the file of the build where there is one. What each said, by `prepared: STEP`, for the record. Throws a Complaint
 * `bench` where a step fails, takes too long or does not say what it should.
 */
export async function prepareLamp(
  bench: OpenRig,
  { rig, rigFile, lamp }: RigFiles,
  { build, serial, firmware }: Omit<TestedLamp, 'model'>,
  use: RigUse,
): Promise<Readonly<Record<string, string>>> {
  const steps = rig.prepare ?? [];
  if (steps.length > 0) await powerUp(bench, rig, lamp, use.signal);
  const folder = dirname(resolve(use.cwd, rigFile.file));
  const tested = { lamp: lamp.lamp, build: build ?? null, serial: serial ?? null };
  const order = firmware === undefined ? tested : { ...tested, firmware };
  const notes: Record<string, string> = {};
  for (const step of steps) {
    use.onRigEvent({ event: 'preparing', step: step.step });
    const asked = { do: 'prepare', step: step.step, ...order };
    const began = performance.now();
    const said = await take(step, { folder, input: `${JSON.stringify(asked)}\n` }, use.signal);
    const seconds = (performance.now() - began) / 1000;
    const text = `${seconds.toFixed(1)} s${said === '' ? '' : `: ${said}`}`;
    use.onRigEvent({ event: 'prepared', step: step.step, text });
    notes[`prepared: ${step.step}`] = text;
  }
  return notes;
}

/** The last line that it printed. */
async function take(
  { step, command, within, expect }: PrepareStep,
  { folder, input }: { readonly folder: string; readonly input: string },
  signal: AbortSignal,
): Promise<string> {
  const deadline = AbortSignal.timeout(1000 * within);
  const run = { name: `step "${step}"`, command, folder, input };
  let output: string;
  try {
    output = (await runProgram(run, AbortSignal.any([signal, deadline]))).toString('utf8');
  } catch (error) {
    signal.throwIfAborted();
    if (!(error instanceof BenchError)) throw error;
    const why = deadline.aborted ? `${run.name} took longer than ${within} s` : error.message;
    throw failed(why, error);
  }
  const said = plainLine(output.trim().split('\n').at(-1) ?? '').slice(0, shown);
  if (expect === undefined || output.includes(expect)) return said;
  throw failed(`${run.name} was to say "${expect}", and said "${said}"`);
}

function failed(why: string, cause?: unknown): Complaint {
  const text = `the lamp could not be prepared: ${why}. Nothing was run; mend it, then run again`;
  return new Complaint('bench', text, { cause });
}
