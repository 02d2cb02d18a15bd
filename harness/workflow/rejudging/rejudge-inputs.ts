import { driverSettings } from '../../../drivers/registry.ts';
import type { Lamp } from '../../bench/lamp.ts';
import { readLamp } from '../../bench/lamp-file.ts';
import type { Rig } from '../../bench/rig.ts';
import { readRig } from '../../bench/rig-file.ts';
import type { Plan } from '../../plan/plan.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import { claimCondition } from '../../record/condition-words.ts';
import { conditionId } from '../../record/ids.ts';
import type { RunRecord, SpecRecord } from '../../record/run-record.ts';
import { requestChange } from '../../run/judge/rejudge-condition.ts';
import { Complaint } from '../complaint.ts';
import { BadFiles } from '../inputs/bad-files.ts';
import { readFile } from '../inputs/read-file.ts';
import { readSpecs } from '../inputs/read-specs.ts';

/** What a stored run is judged again with. */
export interface RejudgeInputs {
  readonly lamp: Lamp;
  readonly rig: Rig;
  /** Each claim as it is written now, beside what was recorded of it; in the order of the run. */
  readonly pairs: readonly { readonly plan: Plan; readonly old: SpecRecord }[];
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
  cwd: string,
): RejudgeInputs {
  const lampText = sameFile('lamp', stored.lamp, options.lamp, cwd);
  const rigText = sameFile('rig', stored.rig, options.rig, cwd);
  const lamp = readLamp(lampText, stored.lamp.file);
  const rig = readRig(rigText, stored.rig.file, driverSettings);
  if (!('lamp' in lamp)) throw new BadFiles(lamp.issues, nothingJudged);
  if (!('rig' in rig)) throw new BadFiles(rig.issues, nothingJudged);
  const paths = options.specs ?? stored.specs.map(({ file }) => file);
  const read = readSpecs(paths, lamp.lamp, cwd);
  if (read.issues.length > 0) throw new BadFiles(read.issues, nothingJudged);
  const planOf = new Map(read.plans.map((plan) => [plan.spec, plan]));
  const pairs = stored.specs.flatMap((old) => {
    const plan = planOf.get(old.spec);
    return plan ? [{ plan, old }] : [];
  });
  const left = stored.specs.filter(({ spec }) => !planOf.has(spec)).map(({ spec }) => spec);
  if (pairs.length === 0 || (left.length > 0 && !options.specs)) {
    const text = `expected the specs of run ${stored.id} in ${paths.join(', ')}, found none of ${left.join(', ')}`;
    throw new Complaint('no-input', text, { remedy: 'specs' });
  }
  const changes = pairs.flatMap(({ plan, old }) => change(plan, old, lamp.lamp) ?? []);
  if (changes.length > 0) {
    throw new Complaint(
      'usage',
      `cannot judge run ${stored.id} again, because its specs now ask for other captures; run them:\n${changes.join('\n')}`,
    );
  }
  const changed = pairs.filter(({ plan, old }) => old.digest !== plan.digest);
  return {
    lamp: lamp.lamp,
    rig: rig.rig,
    pairs,
    changed: changed.map(({ plan }) => plan.spec),
    left,
  };
}

function sameFile(
  kind: 'lamp' | 'rig',
  { file, digest }: { readonly file: string; readonly digest: string },
  given: string | undefined,
  cwd: string,
): string {
  const found = readFile(given ?? file, cwd);
  if (found.digest === digest) return found.text;
  throw new Complaint(
    'usage',
    `the ${kind} file ${given ?? file} has changed since the run (sha256 ${found.digest.slice(0, 12)}…, expected ${digest.slice(0, 12)}…)`,
    { remedy: kind },
  );
}

/** The lamp could not have this claim, or the rig not prove it, so that it was not powered for: it stays as it was. */
export function hasNothingToJudge({ verdict, conditions }: SpecRecord): boolean {
  return conditions.length === 0 && (verdict === 'not run' || verdict === 'not applicable');
}

/** Why this spec cannot judge what was recorded, in a sentence that names it. */
function change(plan: Plan, old: SpecRecord, lamp: Lamp): string | null {
  const { spec, conditions } = old;
  if (hasNothingToJudge(old)) return null;
  const wanted = unmetNeed(plan.needs, lamp) ? [] : matrixOf(plan);
  const had = conditions.map((condition) => conditionId(spec, condition));
  if (wanted.toSorted().join('\n') !== had.toSorted().join('\n'))
    return `${plan.file}: ${spec}: its conditions, repeats or needs have been changed`;
  for (const stored of conditions) {
    const condition = plan.conditions.find(({ key }) => key === stored.key);
    const text = condition && requestChange(stored, condition);
    if (text) return `${plan.file}: ${claimCondition(spec, stored.key)}: ${text}`;
  }
  return null;
}

function matrixOf({ spec, conditions, repeat: times }: Plan): string[] {
  return conditions.flatMap(({ key }) =>
    Array.from({ length: times }, (_, repeat) => conditionId(spec, { key, repeat })),
  );
}
