import type { Lamp } from '../bench/lamp.ts';
import { readLamp } from '../bench/lamp-file.ts';
import type { Rig } from '../bench/rig.ts';
import { readRig } from '../bench/rig-file.ts';
import type { Plan } from '../plan/plan.ts';
import { unmetNeed } from '../plan/unmet-need.ts';
import { conditionId } from '../record/condition-id.ts';
import type { RunRecord, SpecRecord } from '../record/run-record.ts';
import { requestChange } from '../run/rejudge-condition.ts';
import { badFiles } from './bad-files.ts';
import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';
import type { Io } from './io.ts';
import { readFile } from './read-file.ts';
import { readSpecs } from './read-specs.ts';

/** What a stored run is judged again with. `plans` and `specs` go together, in the order of the run. */
export interface RejudgeInputs {
  readonly lamp: Lamp;
  readonly rig: Rig;
  readonly plans: readonly Plan[];
  readonly specs: readonly SpecRecord[];
  /** Ids of specs whose files are not what they were. */
  readonly changed: readonly string[];
  /** Ids of specs of the run that were not given. */
  readonly left: readonly string[];
}

const nothingJudged = 'nothing was judged';

/**
 * Reads the specs as they are now, and the lamp and rig files as they were: scale, uncertainty and dimming curve belong
 * to the captures. Throws a Complaint that names every spec which asks for another stimulus or other captures.
 */
export function readRejudgeInputs(
  stored: RunRecord,
  options: { readonly specs?: readonly string[]; readonly lamp?: string; readonly rig?: string },
  io: Io,
): RejudgeInputs {
  const lampText = sameFile('lamp', stored.lamp, options.lamp, io);
  const rigText = sameFile('rig', stored.rig, options.rig, io);
  const lamp = readLamp(lampText, stored.lamp.file);
  const rig = readRig(rigText, stored.rig.file);
  if (!('lamp' in lamp)) throw badFiles(lamp.issues, io, nothingJudged);
  if (!('rig' in rig)) throw badFiles(rig.issues, io, nothingJudged);
  const paths = options.specs ?? stored.specs.map(({ file }) => file);
  const read = readSpecs(paths, lamp.lamp, io.cwd);
  if (read.issues.length > 0) throw badFiles(read.issues, io, nothingJudged);
  const planOf = new Map(read.plans.map((plan) => [plan.spec, plan]));
  const specs = stored.specs.filter(({ spec }) => planOf.has(spec));
  const left = stored.specs.filter(({ spec }) => !planOf.has(spec)).map(({ spec }) => spec);
  if (specs.length === 0 || (left.length > 0 && !options.specs)) {
    const text = `expected the specs of run ${stored.id} in ${paths.join(', ')}, found none of ${left.join(', ')}`;
    throw new Complaint(exitCodes.noInput, `${text}; say where they are with --specs`);
  }
  const plans = specs.map(({ spec }) => planOf.get(spec)!);
  const changes = plans.flatMap((plan, index) => change(plan, specs[index]!, lamp.lamp) ?? []);
  if (changes.length > 0) {
    throw new Complaint(
      exitCodes.usage,
      `run ${stored.id} cannot be judged by these specs; run them anew:\n${changes.join('\n')}`,
    );
  }
  const changed = specs.filter(({ digest }, index) => digest !== plans[index]!.digest);
  return {
    lamp: lamp.lamp,
    rig: rig.rig,
    plans,
    specs,
    changed: changed.map(({ spec }) => spec),
    left,
  };
}

function sameFile(
  kind: 'lamp' | 'rig',
  { file, digest }: { readonly file: string; readonly digest: string },
  given: string | undefined,
  io: Io,
): string {
  const found = readFile(given ?? file, io.cwd);
  if (found.digest === digest) return found.text;
  throw new Complaint(
    exitCodes.usage,
    `the ${kind} file ${given ?? file} is not the one that the run was made with (sha256 ${found.digest.slice(0, 12)}… instead of ${digest.slice(0, 12)}…); name the old one with --${kind}`,
  );
}

/** The rig could not prove this claim, so it was not powered for: there is nothing to judge, and it stays as it was. */
export function refusedByRig({ verdict, conditions }: SpecRecord): boolean {
  return verdict === 'not run' && conditions.length === 0;
}

/** Why this spec cannot judge what was recorded, in a sentence that names it. */
function change(plan: Plan, old: SpecRecord, lamp: Lamp): string | null {
  const { spec, conditions } = old;
  if (refusedByRig(old)) return null;
  const wanted = unmetNeed(plan.needs, lamp) ? [] : matrixOf(plan);
  const had = conditions.map((condition) => conditionId(spec, condition));
  if (wanted.toSorted().join('\n') !== had.toSorted().join('\n'))
    return `${plan.file}: ${spec}: its conditions, repeats or needs have been changed`;
  for (const stored of conditions) {
    const condition = plan.conditions.find(({ key }) => key === stored.key);
    const text = condition && requestChange(stored, condition);
    if (text) return `${plan.file}: ${stored.key ? `${spec} [${stored.key}]` : spec}: ${text}`;
  }
  return null;
}

function matrixOf({ spec, conditions, repeat: times }: Plan): string[] {
  return conditions.flatMap(({ key }) =>
    Array.from({ length: times }, (_, repeat) => conditionId(spec, { key, repeat })),
  );
}
