import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
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
import { packageRoot } from './package-root.ts';
import { readSpecs } from './read-specs.ts';

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
  const lampFile = readText(selection.lamp ?? shipped('lamps/alcove-6.lamp.yaml', io), io);
  const rigFile = readText(selection.rig ?? shipped('rigs/simulated.rig.yaml', io), io);
  const issues: Issue[] = [];
  const readenLamp = readLamp(lampFile.text, lampFile.file);
  const readenRig = readRig(rigFile.text, rigFile.file);
  if ('issues' in readenLamp) issues.push(...readenLamp.issues);
  if ('issues' in readenRig) issues.push(...readenRig.issues);
  if (!('lamp' in readenLamp) || !('rig' in readenRig)) throw badFiles(issues, io);
  const { lamp } = readenLamp;
  const specs = readSpecs(selection.paths, lamp, io.cwd);
  if (specs.issues.length > 0) throw badFiles(specs.issues, io);
  const chosen = ({ tags }: Plan): boolean =>
    selection.tags.length === 0 || selection.tags.some((tag) => tags.includes(tag));
  const plans = specs.plans.filter(chosen);
  if (plans.length === 0) throw nothingToRun(selection, specs.plans.length);
  const { rig } = readenRig;
  return { plans, lamp, lampFile: identity(lampFile), rig, rigFile: identity(rigFile) };
}

interface FileText {
  readonly file: string;
  readonly digest: string;
  readonly text: string;
}

function identity({ file, digest }: FileText): { file: string; digest: string } {
  return { file, digest };
}

function shipped(name: string, io: Io): string {
  const path = join(packageRoot, 'specs', name);
  return relative(io.cwd, path) || path;
}

function readText(file: string, io: Io): FileText {
  try {
    const bytes = readFileSync(resolve(io.cwd, file));
    return {
      file,
      text: bytes.toString('utf8'),
      digest: createHash('sha256').update(bytes).digest('hex'),
    };
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? 'unreadable';
    throw new Complaint(
      exitCodes.noInput,
      `expected a file at ${file}, found none that can be read (${code})`,
    );
  }
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
