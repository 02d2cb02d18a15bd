import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import type { Plan } from '../../plan/plan.ts';
import { Complaint } from '../complaint.ts';
import { BadFiles } from './bad-files.ts';
import { type Bench, readBench } from './read-bench.ts';
import type { FileText } from './read-file.ts';
import { readSpecs } from './read-specs.ts';
import { shippedFile } from './shipped-file.ts';

/** The files of a run, read and checked. */
export interface RunInputs {
  readonly plans: readonly Plan[];
  readonly lamp: Lamp;
  readonly lampFile: { readonly file: string; readonly digest: string };
  readonly rig: Rig;
  readonly rigFile: { readonly file: string; readonly digest: string };
}

export interface Selection {
  readonly paths: readonly string[];
  readonly lamp?: string | undefined;
  readonly rig?: string | undefined;
  readonly tags: readonly string[];
}

const nothingRun = 'nothing was run';

/** Reads lamp and rig, then every spec for that lamp; all issues of either are told at once, before anything is touched. */
export function readRunInputs(selection: Selection, cwd: string): RunInputs {
  return readRunSpecs(selection, readRunBench(selection, cwd), cwd);
}

export function readRunBench(selection: Pick<Selection, 'lamp' | 'rig'>, cwd: string): Bench {
  const rig = selection.rig ?? shippedFile('rigs/simulated.rig.yaml', cwd);
  return readBench({ lamp: selection.lamp, rig }, cwd, nothingRun);
}

export function readRunSpecs(
  selection: Pick<Selection, 'paths' | 'tags'>,
  { lamp, lampFile, rig, rigFile }: Bench,
  cwd: string,
): RunInputs {
  const specs = readSpecs(selection.paths, lamp, cwd);
  if (specs.issues.length > 0) throw new BadFiles(specs.issues, nothingRun);
  const chosen = ({ tags }: Plan): boolean =>
    selection.tags.length === 0 || selection.tags.some((tag) => tags.includes(tag));
  const plans = specs.plans.filter(chosen);
  if (plans.length === 0) throw nothingToRun(selection, specs.plans.length);
  return { plans, lamp, lampFile: identity(lampFile), rig, rigFile: identity(rigFile) };
}

function identity({ file, digest }: FileText): { file: string; digest: string } {
  return { file, digest };
}

function nothingToRun({ tags, paths }: Pick<Selection, 'paths' | 'tags'>, read: number): Complaint {
  const where = paths.join(', ');
  if (read === 0)
    return new Complaint('no-input', `expected *.spec.yaml files in ${where}, found none`);
  const found = `none of the ${read} specs in ${where} has the tag ${tags.join(' or ')}`;
  return new Complaint('usage', `${found}; evenfall check lists the tags`);
}
