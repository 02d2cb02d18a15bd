import type * as z from 'zod';
import type { Lamp } from '../bench/lamp.ts';
import type { Issue } from '../files/issue.ts';
import { IssueList } from '../files/issue-list.ts';
import { knownKeys } from '../files/known-keys.ts';
import { readYaml } from '../files/read-yaml.ts';
import { schemaIssues, valueAt } from '../files/schema-issues.ts';
import { goodParts } from '../files/schema-parts.ts';
import { totals } from '../plan/estimated-duration.ts';
import type { Condition, Needs, Plan } from '../plan/plan.ts';
import { markWindow, schedule } from '../plan/schedule.ts';
import { unmetNeed } from '../plan/unmet-need.ts';
import { ConditionReader } from './condition-reader.ts';
import { expandMatrix, mostConditions, type Point, pointKey } from './expand-matrix.ts';
import { readCaptures } from './read-captures.ts';
import { readCriteria } from './read-criteria.ts';
import { readSteps } from './read-steps.ts';
import {
  captureSchema,
  criterionSchema,
  type SpecFileShape,
  specSchema,
  step,
} from './spec-schema.ts';

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

/** Steps that one condition may come to when every repeat is written out. */
const mostSteps = 200_000;

/** Reads the text of a spec file for one lamp; every issue at once, for every point of the matrix. */
export function readSpec(text: string, source: SpecSource): ReadSpec {
  const { yaml, issues } = readYaml(text, source.file);
  if (!yaml) return { issues };
  const parsed = specSchema.safeParse(yaml.value);
  const shape = parsed.success
    ? []
    : schemaIssues(yaml, parsed.error, (path) => knownKeys(specSchema, path));
  const list = new IssueList(yaml, [...issues, ...shape]);
  const good = parsed.success ? parsed.data : goodParts(specSchema, yaml.value);
  const needs = (good.needs ?? {}) as Needs;
  const parts = parsed.success ? wholeParts(parsed.data) : rawParts(yaml.value);
  const conditions = readConditions(good, parts, needs, source.lamp, list);
  if (!parsed.success || list.count > 0) return { issues: list.sorted() };
  const { file, folder, digest } = source;
  return { plan: { ...head(parsed.data), file, folder, digest, needs, conditions } };
}

function head({ spec, claim, traces = [], tags = [], repeat = 1 }: SpecFileShape) {
  return { spec, claim, traces, tags, repeat };
}

function readConditions(
  good: Partial<SpecFileShape>,
  parts: Parts,
  needs: Needs,
  lamp: Lamp,
  issues: IssueList,
): Condition[] {
  const written = good.conditions ?? {};
  const points = expandMatrix(written, lamp);
  if (!points) {
    const message = `the conditions multiply to more than ${mostConditions} points; split the claim`;
    issues.add(['conditions'], message, 'key');
    return [];
  }
  const used = new Set<string>();
  const lampFits = unmetNeed(needs, lamp) === null;
  const names = Object.keys(valueAt(issues.yaml.value, ['conditions']) ?? {});
  const unreadable = new Set(names.filter((name) => !Object.hasOwn(written, name)));
  const conditions = points.map((point) => {
    const reader = new ConditionReader({ lamp, lampFits, issues, values: point, used, unreadable });
    return readCondition(point, parts, reader);
  });
  for (const name of Object.keys(written)) {
    if (points.length > 0 && !used.has(name))
      issues.add(['conditions', name], `$${name} is used nowhere; use it or drop it`, 'key');
  }
  const claims =
    parts.criteria.length > 0 || conditions.some(({ stimulus }) => expectsAnswer(stimulus));
  if (!claims && issues.count === 0)
    issues.add(
      [],
      'expected criteria, or a send with "expect"; a claim has to be judged by something',
    );
  return conditions;
}

interface Parts {
  readonly stimulus: readonly (z.infer<typeof step> | null)[];
  readonly capture: readonly (z.infer<typeof captureSchema> | null)[];
  readonly criteria: readonly (z.infer<typeof criterionSchema> | null)[];
  readonly marks: readonly string[];
}

function wholeParts({ stimulus, capture = [], criteria = [] }: SpecFileShape): Parts {
  return { stimulus, capture, criteria, marks: writtenMarks(stimulus) };
}

/** Each entry by itself; null where it is wrong in itself, so that the others can be checked all the same. */
function rawParts(value: unknown): Parts {
  const list = <T>(key: string, schema: z.ZodType<T>): (T | null)[] => {
    const found = valueAt(value, [key]);
    return Array.isArray(found) ? found.map((entry) => schema.safeParse(entry).data ?? null) : [];
  };
  return {
    stimulus: list('stimulus', step),
    capture: list('capture', captureSchema),
    criteria: list('criteria', criterionSchema),
    marks: writtenMarks(valueAt(value, ['stimulus'])),
  };
}

function readCondition(point: Point, parts: Parts, reader: ConditionReader): Condition {
  const { issues } = reader;
  const before = issues.count;
  const stimulus = readSteps(parts.stimulus, ['stimulus'], reader);
  const marks = [...new Set(parts.marks.map((mark) => reader.text(mark, ['stimulus'])))];
  const captures = readCaptures(parts.capture, marks, ['capture'], reader);
  const capturesKnown = !parts.capture.includes(null);
  const context = { marks, captures, capturesKnown };
  const criteria = readCriteria(parts.criteria, context, ['criteria'], reader);
  const condition: Condition = {
    key: pointKey(point),
    values: Object.fromEntries([...point].map(([name, value]) => [name, String(value)])),
    stimulus,
    captures,
    criteria,
  };
  const whole = parts.stimulus.length > 0 && !parts.stimulus.includes(null);
  if (whole && issues.count === before) checkTimes(condition, reader);
  return condition;
}

/** A window of no length holds nothing to measure, and a stimulus of a million steps would never end. */
function checkTimes(
  { stimulus, captures, criteria }: Condition,
  { issues }: ConditionReader,
): void {
  const { steps, seconds } = totals(stimulus);
  if (steps > mostSteps) {
    issues.add(
      ['stimulus'],
      `expected at most ${mostSteps} steps with all repeats, found ${steps}`,
      'key',
    );
    return;
  }
  if (captures.length > 0 && seconds === 0) {
    issues.add(['stimulus'], 'no time passes, so that nothing can be captured; add a hold', 'key');
    return;
  }
  const plan = schedule(stimulus);
  const double = plan.marks.find(
    ({ name }, index) => plan.marks.findIndex((m) => m.name === name) < index,
  );
  const repeated = stimulus.some(({ verb }) => verb === 'repeat');
  if (double && !repeated)
    issues.add(
      ['stimulus'],
      `the mark "${double.name}" is set twice; give each its own name`,
      'key',
    );
  const check = (name: string | undefined, path: readonly (string | number)[]): void => {
    const window = name === undefined ? null : markWindow(plan, name);
    if (window && window.to <= window.from)
      issues.add(
        path,
        `no time passes between the mark "${name}" and the next; add a hold or a fade`,
      );
  };
  for (const [index, { during }] of captures.entries()) check(during, ['capture', index, 'during']);
  for (const [index, { during, reference }] of criteria.entries()) {
    check(during, ['criteria', index, 'during']);
    check(reference, ['criteria', index, 'reference']);
  }
}

function writtenMarks(stimulus: unknown): string[] {
  if (!Array.isArray(stimulus)) return [];
  return stimulus.flatMap((entry) => {
    const mark = valueAt(entry, ['mark']);
    const inner = writtenMarks(valueAt(entry, ['repeat', 'steps']));
    return typeof mark === 'string' ? [mark, ...inner] : inner;
  });
}

function expectsAnswer(steps: Condition['stimulus']): boolean {
  return steps.some(
    (own) =>
      (own.verb === 'send' && own.expect !== undefined) ||
      (own.verb === 'repeat' && expectsAnswer(own.steps)),
  );
}
