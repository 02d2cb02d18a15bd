import * as z from 'zod';
import { BenchError } from '../harness/bench/errors.ts';
import type { RigInstrument } from '../harness/bench/rig.ts';
import { describeValue } from '../harness/files/describe-value.ts';
import { knownKeys } from '../harness/files/known-keys.ts';
import { unknownKey, valueAt } from '../harness/files/schema-issues.ts';

/** Keys of every instrument that others read: preflight, and people. */
export const readByPreflight = {
  'highest-rate': z.unknown().optional(),
  'longest-record': z.unknown().optional(),
  memory: z.unknown().optional(),
  'one-record': z.unknown().optional(),
  acquisition: z.unknown().optional(),
};

/** An instrument's settings by its driver's schema; all that is wrong is told at once, as BenchError `unsupported`. */
export function readSettings<Schema extends z.ZodType>(
  schema: Schema,
  { name, driver, settings }: Pick<RigInstrument, 'name' | 'driver' | 'settings'>,
): z.infer<Schema> {
  const parsed = schema.safeParse(settings);
  if (parsed.success) return parsed.data;
  const told = parsed.error.issues.map((issue) => {
    const path = issue.path.map(String);
    if (issue.code === 'unrecognized_keys')
      return issue.keys.map((key) => unknownKey(key, knownKeys(schema, path))).join('; ');
    const found = valueAt(settings, path);
    const but = found === undefined ? 'it is missing; add it' : `found ${describeValue(found)}`;
    return `${path.join('.') || 'settings'}: ${expectation(issue.message)}, but ${but}`;
  });
  throw new BenchError(
    'unsupported',
    name,
    `settings of instrument ${name} (driver ${driver}) in the rig file: ${told.join('; ')}`,
  );
}

/** What a schema that has no words of its own expected; what was found is told by the caller. */
function expectation(message: string): string {
  return message.replace(/^[^:]+: (?=expected )/, '').replace(/, received \w+$/, '');
}
