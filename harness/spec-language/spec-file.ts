import type { Lamp } from '../bench/lamp.ts';
import type { Issue } from '../files/issue.ts';
import { IssueList } from '../files/issue-list.ts';
import { readYaml } from '../files/read-yaml.ts';
import { valueAtPath } from '../files/schema-issues.ts';
import { goodParts } from '../files/schema-parts.ts';
import type { Condition, Needs, Plan } from '../plan/plan.ts';
import { unmetNeed } from '../plan/unmet-need.ts';
import { allSteps, verbOf } from '../plan/verbs/verbs.ts';
import { checkTimes } from './check-times.ts';
import { ConditionReader } from './condition-reader.ts';
import { expandMatrix, mostConditions, type Point, pointKey } from './expand-matrix.ts';
import { readAmbient } from './read-ambient.ts';
import { readCaptures, readProbes } from './read-captures.ts';
import { readCriteria } from './read-criteria.ts';
import { readSteps } from './read-steps.ts';
import { rawParts, type SpecParts, wholeParts } from './spec-parts.ts';
import { type SpecFileShape, specSchema } from './spec-schema.ts';

export interface SpecSource {
  /** Path as given. */
  readonly file: string;
  /** The folder that groups it on the page. */
  readonly folder: string;
  /** sha256 of the file's bytes, hex. */
  readonly digest: string;
  readonly lamp: Lamp;
}

export type ReadSpec = { readonly plan: Plan } | { readonly issues: readonly Issue[] };

/** Reads the text of a spec file for one lamp; every issue at once, for every point of the matrix. */
export function readSpec(text: string, source: SpecSource): ReadSpec {
  const { yaml, issues } = readYaml(text, source.file);
  if (!yaml) return { issues };
  const list = new IssueList(yaml, issues);
  const parsed = list.parse(specSchema, yaml.value);
  const good = parsed ?? goodParts(specSchema, yaml.value);
  const needs = (good.needs ?? {}) as Needs;
  const parts = parsed ? wholeParts(parsed) : rawParts(yaml.value);
  const conditions = readConditions({ ...good, needs }, parts, source.lamp, list);
  if (!parsed || list.count > 0) return { issues: list.sorted() };
  const { spec, claim, traces = [], tags = [], repeat = 1 } = parsed;
  const { file, folder, digest } = source;
  const head = { spec, claim, traces, tags, repeat, file, folder, digest };
  return { plan: { ...head, needs, conditions } };
}

/** Every point of the matrix. */
function readConditions(
  {
    conditions: written = {},
    needs,
  }: Pick<SpecFileShape, 'conditions'> & { readonly needs: Needs },
  parts: SpecParts,
  lamp: Lamp,
  issues: IssueList,
): Condition[] {
  const points = expandMatrix(written, lamp, needs);
  if (!points) {
    const message = `the conditions give more than ${mostConditions} combinations; split the claim`;
    issues.add(['conditions'], message, 'key');
    return [];
  }
  const used = new Set<string>();
  const lampFits = unmetNeed(needs, lamp) === null;
  const names = Object.keys(valueAtPath(issues.yaml.value, ['conditions']) ?? {});
  const unreadable = new Set(names.filter((name) => !Object.hasOwn(written, name)));
  const conditions = points.map((values) => {
    const setup = { lamp, lampFits, issues, values, used, unreadable };
    return readCondition(values, parts, new ConditionReader(setup));
  });
  const unused = points.length > 0 ? Object.keys(written).filter((name) => !used.has(name)) : [];
  for (const name of unused)
    issues.add(['conditions', name], `$${name} is not used; use it or remove it`, 'key');
  if (issues.count === 0 && !isJudged(parts, conditions))
    issues.add([], 'nothing judges the claim; add criteria, or a send with "expect"');
  return conditions;
}

function isJudged({ criteria }: SpecParts, conditions: readonly Condition[]): boolean {
  if (criteria.length > 0) return true;
  const steps = conditions.flatMap(({ stimulus }) => allSteps(stimulus));
  return steps.some((step) => verbOf(step).judges?.(step));
}

function readCondition(point: Point, parts: SpecParts, reader: ConditionReader): Condition {
  const before = reader.issueCount;
  const inStimulus = reader.at('stimulus');
  const stimulus = readSteps(parts.stimulus, inStimulus);
  const marks = [...new Set(parts.marks.map((mark) => inStimulus.text(mark)))];
  const captures = readCaptures(parts.capture, marks, reader.at('capture'));
  const capturesKnown = !parts.capture.includes(null);
  const probes = readProbes(parts.capture, reader.at('capture'));
  const context = { marks, captures, probes, capturesKnown };
  const condition: Condition = {
    key: pointKey(point),
    values: Object.fromEntries([...point].map(([name, value]) => [name, String(value)])),
    ...(parts.ambient && { ambient: readAmbient(parts.ambient, reader.at('ambient')) }),
    stimulus,
    captures,
    ...(probes.length > 0 && { probes }),
    criteria: readCriteria(parts.criteria, context, reader.at('criteria')),
  };
  const whole = parts.stimulus.length > 0 && !parts.stimulus.includes(null);
  if (whole && reader.issueCount === before) checkTimes(condition, reader);
  return condition;
}
