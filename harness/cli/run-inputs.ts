import type { Lamp } from '../bench/lamp.ts';
import { readLamp } from '../bench/lamp-file.ts';
import type { Rig } from '../bench/rig.ts';
import { readRig } from '../bench/rig-file.ts';
import type { Issue } from '../files/issue.ts';
import { renderIssues } from '../files/render-issues.ts';
import type { Plan } from '../spec/plan.ts';
import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';
import type { Io } from './io.ts';
import { type FileText, readFile } from './read-file.ts';
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

/** Reads lamp, rig and every spec; all issues of all files are told at once, and nothing has been touched by then. */
export function readRunInputs(selection: Selection, io: Io): RunInputs {
  const lampFile = readFile(selection.lamp ?? shippedFile('lamps/alcove-6.lamp.yaml', io), io.cwd);
  const rigFile = readFile(selection.rig ?? shippedFile('rigs/simulated.rig.yaml', io), io.cwd);
  const issues: Issue[] = [];
  const lampRead = readLamp(lampFile.text, lampFile.file);
  const rigRead = readRig(rigFile.text, rigFile.file);
  if ('issues' in lampRead) issues.push(...lampRead.issues);
  if ('issues' in rigRead) issues.push(...rigRead.issues);
  if (!('lamp' in lampRead) || !('rig' in rigRead)) throw badFiles(issues, io);
  const { lamp } = lampRead;
  const specs = readSpecs(selection.paths, lamp, io.cwd);
  if (specs.issues.length > 0) throw badFiles(specs.issues, io);
  const chosen = ({ tags }: Plan): boolean =>
    selection.tags.length === 0 || selection.tags.some((tag) => tags.includes(tag));
  const plans = specs.plans.filter(chosen);
  if (plans.length === 0) throw nothingToRun(selection, specs.plans.length);
  const { rig } = rigRead;
  return { plans, lamp, lampFile: identity(lampFile), rig, rigFile: identity(rigFile) };
}

function identity({ file, digest }: FileText): { file: string; digest: string } {
  return { file, digest };
}

function badFiles(issues: readonly Issue[], io: Io): Complaint {
  const count = `${issues.length} issue${issues.length === 1 ? '' : 's'}; nothing was run`;
  return new Complaint(
    exitCodes.badFile,
    `${renderIssues(issues, { colour: io.colour })}\n${count}`,
  );
}

function nothingToRun({ tags, paths }: Selection, read: number): Complaint {
  const where = paths.join(', ');
  if (read === 0)
    return new Complaint(exitCodes.noInput, `expected *.spec.yaml files in ${where}, found none`);
  const found = `none of the ${read} specs in ${where} has the tag ${tags.join(' or ')}`;
  return new Complaint(exitCodes.usage, `${found}; evenfall check lists the tags`);
}
