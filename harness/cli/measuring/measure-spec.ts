import type { Lamp } from '../../bench/lamp.ts';
import { readLamp } from '../../bench/lamp-file.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import type { WaveformFile } from '../../files/waveform-file.ts';
import type { Plan } from '../../plan/plan.ts';
import { rollUp } from '../../verdict/verdict.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { BadFiles } from '../../workflow/inputs/bad-files.ts';
import { readFile } from '../../workflow/inputs/read-file.ts';
import { readSpecs } from '../../workflow/inputs/read-specs.ts';
import { usualLamp } from '../../workflow/project/project-file.ts';
import { exitCodeOfVerdict } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { type HeldClaim, holdAgainstClaim } from './hold-against-claim.ts';
import type { Scene } from './measure-metric.ts';
import { type MeasureFlags, usage } from './measure-options.ts';
import { heldJson, heldText } from './measure-spec-text.ts';
import { statedStimulus } from './stated-stimulus.ts';

/** What is asked of a file by options, and of the lamp by its file, is the spec's to say. */
const ofTheSpec = {
  metric: '--metric',
  set: '--set',
  during: '--during',
  reference: '--reference',
  level: '--level',
  atMost: '--at-most',
  atLeast: '--at-least',
  between: '--between',
  page: '--page',
} as const satisfies Partial<Record<keyof MeasureFlags, string>>;

/** What only means something beside `--spec`. */
const besideSpec = {
  claim: '--claim',
  condition: '--condition',
  lamp: '--lamp',
  begin: '--begin',
  mark: '--mark',
} as const satisfies Partial<Record<keyof MeasureFlags, string>>;

/** Throws where options of the one way to judge stand beside those of the other. */
export function checkSpecOptions(flags: MeasureFlags): void {
  const given = (names: Partial<Record<keyof MeasureFlags, string>>): string | undefined =>
    Object.entries(names).find(([key]) => flags[key as keyof MeasureFlags] !== undefined)?.[1];
  if (flags.spec === undefined) {
    const stray = given(besideSpec);
    if (stray !== undefined) throw usage(`${stray}: expected --spec FILE beside it, found none`);
    return;
  }
  const stray = given(ofTheSpec);
  if (stray !== undefined)
    throw usage(`${stray}: not with --spec, whose criteria say it; leave one of the two out`);
}

/** `evenfall measure FILE --spec SPEC`: the criteria of claims held against one recorded file, as a run would hold them. */
export function measureAgainstSpec(
  file: WaveformFile,
  scene: Scene,
  flags: MeasureFlags & { readonly spec: string },
  io: Io,
): void {
  const lamp = readLampFile(flags.lamp, io);
  const plans = claimsOf(flags, lamp, io);
  const stated = statedStimulus(flags, plans, scene);
  const held = plans.map((plan) =>
    holdAgainstClaim(plan, { file, scene, lamp, stated, condition: flags.condition }),
  );
  if (flags.condition !== undefined) refuseUnknownCondition(held, plans, flags.condition);
  io.stdout(flags.json ? heldJson(held) : heldText(held, io));
  const verdicts = held.flatMap(({ verdict }) => (verdict === 'not applicable' ? [] : [verdict]));
  io.exitCode = exitCodeOfVerdict(rollUp(verdicts));
}

function readLampFile(path: string | undefined, io: Io): Lamp {
  const lampFile = path ?? usualLamp(io.cwd);
  const read = readLamp(readFile(lampFile, io.cwd).text, lampFile);
  if ('issues' in read) throw new BadFiles(read.issues);
  return read.lamp;
}

function claimsOf(
  { spec, claim: asked = [] }: MeasureFlags & { readonly spec: string },
  lamp: Lamp,
  io: Io,
): readonly Plan[] {
  const { plans, issues } = readSpecs([spec], lamp, io.cwd);
  if (issues.length > 0) throw new BadFiles(issues);
  if (plans.length === 0)
    throw new Complaint('no-input', `expected *.spec.yaml files in ${spec}, found none`);
  const known = plans.map((plan) => plan.spec);
  for (const id of asked)
    if (!known.includes(id))
      throw usage(
        `--claim: there is no claim "${id}" in ${spec}${didYouMean(id, known)} (evenfall check ${spec} lists them)`,
      );
  return asked.length === 0 ? plans : plans.filter((plan) => asked.includes(plan.spec));
}

/** With one claim, a condition that it does not have is a slip of the command line. */
function refuseUnknownCondition(
  held: readonly HeldClaim[],
  plans: readonly Plan[],
  asked: string,
): void {
  if (held.some(({ condition }) => condition !== null)) return;
  const [plan, ...others] = plans;
  if (!plan || others.length > 0 || held[0]?.verdict === 'not applicable') return;
  const keys = plan.conditions.map(({ key }) => `"${key}"`).filter((key) => key !== '""');
  const list = keys.length === 0 ? 'it has no conditions: leave --condition out' : keys.join(', ');
  throw usage(
    `--condition: expected one of the conditions of ${plan.spec}, found "${asked}"; ${list}`,
  );
}
