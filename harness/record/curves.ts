import * as z from 'zod';
import {
  type ConditionRecord,
  chartSchema,
  commandedSchema,
  type RunRecord,
} from './run-record.ts';

/** What pictures and judging again need of a condition, and nothing else: nine tenths of a record. */
const conditionCurvesSchema = z.strictObject({
  commanded: commandedSchema.optional(),
  /** Those of each finding, in its order. */
  charts: z.array(z.array(chartSchema)),
});
/** Of all conditions, claim by claim, in the order of the record. */
export const curvesSchema = z.array(conditionCurvesSchema);
export type Curves = z.infer<typeof curvesSchema>;
type ConditionCurves = Curves[number];

export function curvesOf({ specs }: RunRecord): Curves {
  return specs.flatMap(({ conditions }) =>
    conditions.map(({ commanded, findings }) => ({
      ...(commanded && { commanded }),
      charts: findings.map(({ evidence }) => evidence.charts),
    })),
  );
}

/** The record without charts and commanded light. */
export function withoutCurves(record: RunRecord): RunRecord {
  return mapConditions(record, ({ commanded: _commanded, ...condition }) => ({
    ...condition,
    findings: condition.findings.map((finding) => ({
      ...finding,
      evidence: { charts: [], notes: finding.evidence.notes },
    })),
  }));
}

/** The record with its curves again. Throws an Error where they are of another record. */
export function withCurves(record: RunRecord, curves: Curves): RunRecord {
  let next = 0;
  const whole = mapConditions(record, (condition) => withOwn(condition, curves[next++]));
  if (next === curves.length) return whole;
  throw new Error(`it has curves of ${curves.length} conditions, the record has ${next}`);
}

function withOwn(condition: ConditionRecord, own: ConditionCurves | undefined): ConditionRecord {
  const { findings } = condition;
  if (own?.charts.length !== findings.length)
    throw new Error(`the curves of the condition ${condition.key} are not those of its findings`);
  const { commanded, charts } = own;
  return {
    ...condition,
    ...(commanded && { commanded }),
    findings: findings.map((finding, k) => ({
      ...finding,
      evidence: { charts: charts[k] ?? [], notes: finding.evidence.notes },
    })),
  };
}

function mapConditions(
  record: RunRecord,
  change: (condition: ConditionRecord) => ConditionRecord,
): RunRecord {
  const specs = record.specs.map((spec) => ({ ...spec, conditions: spec.conditions.map(change) }));
  return { ...record, specs };
}
