import { driverSettings } from '../../../drivers/registry.ts';
import type { Lamp } from '../../bench/lamp.ts';
import { readLamp } from '../../bench/lamp-file.ts';
import type { Rig } from '../../bench/rig.ts';
import { readRig } from '../../bench/rig-file.ts';
import type { Plan } from '../../plan/plan.ts';
import { BadFiles } from '../../workflow/inputs/bad-files.ts';
import { fittingRig } from '../../workflow/inputs/fitting-rig.ts';
import { isSimulated } from '../../workflow/inputs/read-bench.ts';
import { readFile } from '../../workflow/inputs/read-file.ts';
import { readSpecFiles } from '../../workflow/inputs/read-specs.ts';
import { selectPlans } from '../../workflow/inputs/select-plans.ts';
import type { SubmissionRequest } from '../protocol.ts';

export interface ReadSubmission {
  readonly lamp: Lamp;
  readonly plans: readonly Plan[];
}

/** Reads lamp and claims of a submission whose inputs lie in `folder`. Throws a Complaint with every mistake in them. */
export function readSubmission(request: SubmissionRequest, folder: string): ReadSubmission {
  const { text, file } = readFile(request.lamp.file, folder);
  const read = readLamp(text, file);
  if (!('lamp' in read)) throw new BadFiles(read.issues, 'nothing was submitted');
  const { lamp } = read;
  const paths = request.specs.map((spec) => spec.file);
  const specs = readSpecFiles(paths, lamp, folder);
  if (specs.issues.length > 0) throw new BadFiles(specs.issues, 'nothing was submitted');
  const { tags, only, failedIn } = request;
  return { lamp, plans: selectPlans({ paths, tags, only, failedIn }, specs.plans) };
}

/** A rig by the text of its file; a simulated one without the links that the lamp does not have. Throws BadFiles. */
export function readRigText(text: string, file: string, lamp: Lamp): Rig {
  const read = readRig(text, file, driverSettings);
  if (!('rig' in read)) throw new BadFiles(read.issues);
  return isSimulated(read.rig) ? fittingRig(read.rig, lamp) : read.rig;
}
