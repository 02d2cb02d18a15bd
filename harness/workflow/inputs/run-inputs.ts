import type { Plan } from '../../plan/plan.ts';
import type { Shard } from '../../record/shard-record.ts';
import { usualRig } from '../project/project-file.ts';
import { BadFiles } from './bad-files.ts';
import { fittingRig } from './fitting-rig.ts';
import { type Bench, isSimulated, readBench } from './read-bench.ts';
import type { FileText } from './read-file.ts';
import { readSpecs } from './read-specs.ts';
import { type Selection, selectPlans } from './select-plans.ts';
import { shardOf } from './shard.ts';
import { shippedFile } from './shipped-file.ts';

/** The files of a run, read and checked. */
export interface RunInputs extends Pick<Bench, 'lamp' | 'rig'> {
  readonly plans: readonly Plan[];
  readonly lampFile: FileIdentity;
  readonly rigFile: FileIdentity;
  /** Where only a part of the selection is run. */
  readonly shard?: Shard;
}

type FileIdentity = Pick<FileText, 'file' | 'digest'>;

/** Lamp and rig file of a run; those of the project, or the shipped ones, where absent. */
export interface BenchFiles {
  readonly lamp?: string | undefined;
  readonly rig?: string | undefined;
}

const nothingRun = 'nothing was run';

/** Reads lamp and rig, then every spec for that lamp. Throws a Complaint with all issues before anything is touched. */
export function readRunInputs(selection: Selection & BenchFiles, cwd: string): RunInputs {
  return readRunSpecs(selection, readRunBench(selection, cwd), cwd);
}

/** Reads lamp and rig; a project's rig goes with its own lamp alone. Throws a Complaint with the issues of both. */
export function readRunBench({ lamp, rig }: BenchFiles, cwd: string): Bench {
  const rigFile =
    rig ?? (lamp === undefined ? usualRig(cwd) : shippedFile('rigs/simulated.rig.yaml', cwd));
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
  const selected = selectPlans(selection, specs.plans);
  const files = { lampFile: identity(lampFile), rigFile: identity(rigFile) };
  return { lamp, rig, ...files, ...partOf(selected, selection, { lamp, rig }) };
}

/** The claims that are run: all, or those of one shard. */
function partOf(
  selected: readonly Plan[],
  { part, assigned }: Selection,
  bench: Pick<Bench, 'lamp' | 'rig'>,
): Pick<RunInputs, 'plans' | 'shard'> {
  if (part) return shardOf(selected, part, bench);
  if (!assigned) return { plans: selected };
  const plans = selected.filter(({ spec }) => assigned.claims.includes(spec));
  return { plans, shard: assigned.shard };
}

function identity({ file, digest }: FileText): FileIdentity {
  return { file, digest };
}
