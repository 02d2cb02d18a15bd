import * as z from 'zod';
import type { Dimension } from '../units/unit.ts';
import { describeValue } from './describe-value.ts';
import { type FigureOptions, readFigure } from './read-figure.ts';

/** Pieces that the schemas of all file kinds share. Descriptions reach the editor through the JSON Schema. */

/** A figure as people write it, `20 ms`; parsed to its SI value. */
export const quantity = (
  about: string,
  dimension: Dimension,
  example: string | number,
  options: FigureOptions = {},
) =>
  z
    .union([z.string(), z.number()])
    .meta({ description: about, examples: [example] })
    .transform((found, context) => {
      const read = readFigure(found, dimension, options);
      if ('value' in read) return read.value;
      context.issues.push({ code: 'custom', message: read.problem, input: found });
      return z.NEVER;
    });

/** A figure that stays as written: it may be the `$name` of a condition, and is read once that is known. */
export const scalar = (about: string, ...examples: readonly (string | number)[]) =>
  z.union([z.string(), z.number()]).meta({ description: about, examples: [...examples] });
/** A text that `read` understands, parsed; `expected` finishes "expected …". */
export const readable = <Value>(
  about: string,
  expected: string,
  example: string,
  read: (text: string) => Value | null,
) =>
  z
    .string(`expected ${expected}`)
    .meta({ description: about, examples: [example] })
    .transform((found, context) => {
      const value = read(found);
      if (value !== null) return value;
      const message = `expected ${expected}, found ${describeValue(found)}`;
      context.issues.push({ code: 'custom', message, input: found });
      return z.NEVER;
    });

export const name = (about: string) =>
  z
    .string()
    .regex(/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/)
    .max(80)
    .meta({ description: about });

export const words = (about: string) => z.string().min(1).max(2000).meta({ description: about });

/** The entries of a mapping that fit their part of the schema, so that what depends on them can be checked although others are wrong. */
export function goodParts<Shape extends z.ZodRawShape>(
  schema: z.ZodObject<Shape>,
  value: unknown,
): Partial<z.infer<z.ZodObject<Shape>>> {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return {};
  const good = Object.entries(schema.shape).flatMap(([key, part]) => {
    const found = Object.hasOwn(value, key) ? (value as Record<string, unknown>)[key] : undefined;
    const parsed = z.safeParse(part, found);
    return parsed.success && parsed.data !== undefined ? [[key, parsed.data] as const] : [];
  });
  return Object.fromEntries(good) as Partial<z.infer<z.ZodObject<Shape>>>;
}
