import type * as z from 'zod';
import { valueAtPath } from '../files/schema-issues.ts';
import type { WrittenStep } from '../plan/verbs/verb.ts';
import { writtenMarks } from './marks.ts';
import {
  type AmbientShape,
  ambientSchema,
  type CaptureShape,
  type CriterionShape,
  captureSchema,
  criterionSchema,
  type SpecFileShape,
  stepSchema,
} from './spec-schema.ts';

/** The lists of a spec file. An entry that is wrong in itself is null, so that the others can be checked all the same. */
export interface SpecParts {
  readonly ambient?: AmbientShape;
  readonly stimulus: readonly (WrittenStep | null)[];
  readonly capture: readonly (CaptureShape | null)[];
  readonly criteria: readonly (CriterionShape | null)[];
  readonly marks: readonly string[];
}

/** Of a file that fits the schema. */
export function wholeParts({
  ambient,
  stimulus,
  capture = [],
  criteria = [],
}: SpecFileShape): SpecParts {
  return {
    ...(ambient && { ambient }),
    stimulus,
    capture,
    criteria,
    marks: writtenMarks(stimulus),
  };
}

/** Of a file that does not: each entry by itself. */
export function rawParts(value: unknown): SpecParts {
  const list = <T>(key: string, schema: z.ZodType<T>): (T | null)[] => {
    const found = valueAtPath(value, [key]);
    return Array.isArray(found) ? found.map((entry) => schema.safeParse(entry).data ?? null) : [];
  };
  const ambient = ambientSchema.safeParse(valueAtPath(value, ['ambient'])).data;
  return {
    ...(ambient && { ambient }),
    stimulus: list('stimulus', stepSchema),
    capture: list('capture', captureSchema),
    criteria: list('criteria', criterionSchema),
    marks: writtenMarks(valueAtPath(value, ['stimulus'])),
  };
}
