import { didYouMean } from '../../files/did-you-mean.ts';
import type { Plan } from '../../plan/plan.ts';
import { Complaint } from '../complaint.ts';
import { BadFiles } from './bad-files.ts';
import { fittingRig } from './fitting-rig.ts';
import { type Bench, isSimulated, readBench } from './read-bench.ts';
import type { FileText } from './read-file.ts';
import { readSpecs } from './read-specs.ts';
import { shippedFile } from './shipped-file.ts';

/** The files of a run, read and checked. */
export interface RunInputs extends Pick<Bench, 'lamp' | 'rig'> {
  readonly plans: readonly Plan[];
  readonly lampFile: FileIdentity;
  readonly rigFile: FileIdentity;
}

type FileIdentity = Pick<FileText, 'file' | 'digest'>;

/** Which specs are run. */
export interface Selection {
  /** Spec files, and folders of them. */
  readonly paths: readonly string[];
  /** Specs with any of these; all specs when empty. */
  readonly tags: readonly string[];
}

/** Lamp and rig file of a run; the shipped ones where absent. */
export interface BenchFiles {
  readonly lamp?: string | undefined;
  readonly rig?: string | undefined;
}

const nothingRun = 'nothing was run';

/** Reads lamp and rig, then every spec for that lamp. Throws a Complaint with all issues before anything is touched. */
export function readRunInputs(selection: Selection & BenchFiles, cwd: string): RunInputs {
  return readRunSpecs(selection, readRunBench(selection, cwd), cwd);
}

/** Reads lamp and rig. Throws a Complaint with the issues of both. */
export function readRunBench({ lamp, rig }: BenchFiles, cwd: string): Bench {
  const rigFile = rig ?? shippedFile('rigs/simulated.rig.yaml', cwd);
  const bench = readBench({ lamp, rig: rigFile }, cwd, nothingRun);
  return isSimulated(bench.rig) ? { ...bench, rig: fittingRig(bench.rig, bench.lamp) } : bench;
}

/** Reads the selected specs for a lamp. Throws a Complaint with all issues, or where no spec is selected. */
export function readRunSpecs(
  selection: Selection,
  { lamp, lampFile, rig, rigFile }: Bench,
  cwd: string,
): RunInputs {
  const specs = readSpecs(selection.paths, lamp, cwd);
  if (specs.issues.length > 0) throw new BadFiles(specs.issues, nothingRun);
  const selected = ({ tags }: Plan): boolean =>
    selection.tags.length === 0 || selection.tags.some((tag) => tags.includes(tag));
  const plans = specs.plans.filter(selected);
  if (plans.length === 0) throw nothingToRun(selection, specs.plans);
  return { plans, lamp, lampFile: identity(lampFile), rig, rigFile: identity(rigFile) };
}

function identity({ file, digest }: FileText): FileIdentity {
  return { file, digest };
}

function nothingToRun({ tags, paths }: Selection, read: readonly Plan[]): Complaint {
  const where = paths.join(', ');
  if (read.length === 0)
    return new Complaint('no-input', `expected *.spec.yaml files in ${where}, found none`);
  const known = [...new Set(read.flatMap((plan) => plan.tags))].sort();
  const hint = tags.map((tag) => didYouMean(tag, known)).find((text) => text !== '') ?? '';
  const found = `none of the ${read.length} specs in ${where} has the tag ${tags.join(' or ')}`;
  const list = `their tags are ${known.join(', ') || 'none'}`;
  return new Complaint('usage', `${found}; ${list}${hint}`);
}
