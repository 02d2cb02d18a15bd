import type * as z from 'zod';
import type { PathStep } from './issue.ts';

/** The keys that a schema knows at a path of a value, for "did you mean"; empty where any key goes. */
export function knownKeys(schema: z.ZodType, path: readonly PathStep[]): readonly string[] {
  const found = path.reduce<readonly z.ZodType[]>(
    (schemas, step) => schemas.flatMap((inner) => unwrap(inner).flatMap((own) => into(own, step))),
    [schema],
  );
  return [...new Set(found.flatMap((inner) => unwrap(inner).flatMap(keysOf)))];
}

interface Definition {
  readonly type: string;
  readonly innerType?: z.ZodType;
  /** Of a schema with a transform: what it transforms. */
  readonly in?: z.ZodType;
  readonly element?: z.ZodType;
  readonly valueType?: z.ZodType;
  readonly shape?: Readonly<Record<string, z.ZodType>>;
  readonly options?: readonly z.ZodType[];
  readonly getter?: () => z.ZodType;
}

function definition(schema: z.ZodType): Definition {
  return schema._zod.def as unknown as Definition;
}

/** The schemas that one stands for, without optional, lazy and union around them. */
function unwrap(schema: z.ZodType): readonly z.ZodType[] {
  const { innerType, in: input, getter, options } = definition(schema);
  const inner = innerType ?? input;
  if (inner) return unwrap(inner);
  if (getter) return unwrap(getter());
  if (options) return options.flatMap(unwrap);
  return [schema];
}

function into(schema: z.ZodType, step: PathStep): readonly z.ZodType[] {
  const { element, valueType, shape } = definition(schema);
  const next = element ?? valueType ?? shape?.[step];
  return next ? [next] : [];
}

function keysOf(schema: z.ZodType): readonly string[] {
  return Object.keys(definition(schema).shape ?? {});
}
