import type * as z from 'zod';
import { describeValue, oneLine } from './describe-value.ts';
import { didYouMean } from './did-you-mean.ts';
import type { PathStep } from './issue.ts';

type ZodIssue = z.core.$ZodIssue;

/** Something that does not fit a schema, where in the value, and whether its key or its value is meant. */
export interface Misfit {
  readonly path: readonly PathStep[];
  readonly message: string;
  readonly at: 'value' | 'key';
}

/** All that a schema found wrong with a value, in words of this program. `keysAt` lists the keys that are known at a path. */
export function misfits(
  value: unknown,
  error: z.ZodError,
  keysAt: (path: readonly PathStep[]) => readonly string[],
): Misfit[] {
  return error.issues.flatMap(nearest).flatMap((issue): Misfit[] => {
    const path = issue.path.map((step) => (typeof step === 'symbol' ? String(step) : step));
    if (issue.code === 'unrecognized_keys')
      return issue.keys.map((key) => ({
        path: [...path, key],
        message: unknownKey(key, keysAt(path)),
        at: 'key',
      }));
    return [{ path, message: sentence(issue, valueAtPath(value, path)), at: 'value' }];
  });
}

/** Of a choice between kinds, what is wrong within the one whose kind was found; else that none was. */
function nearest(issue: ZodIssue): ZodIssue[] {
  if (issue.code !== 'invalid_union') return [issue];
  const kinds = issue.errors
    .map((errors) => errors.flatMap(nearest))
    .filter((errors) =>
      errors.every(({ code, path }) => path.length > 0 || code === 'unrecognized_keys'),
    );
  const [only = [], ...others] = kinds;
  if (only.length === 0 || others.length > 0) return [issue];
  return only.map((error) => ({ ...error, path: [...issue.path, ...error.path] }));
}

/** `unknown key "hodl"; did you mean "hold"?` */
export function unknownKey(key: string, known: readonly string[]): string {
  if (/^\d/.test(key)) {
    return `found "${oneLine(key)}" where a key belongs; if you meant a decimal comma, write a decimal point`;
  }
  const guess = didYouMean(key, known);
  const list = guess === '' && known.length > 0 ? `; known: ${known.join(', ')}` : guess;
  return `unknown key "${oneLine(key)}"${list}`;
}

/** The value at a path, or undefined. */
export function valueAtPath(value: unknown, path: readonly PathStep[]): unknown {
  let here = value;
  for (const step of path) {
    if (typeof here !== 'object' || here === null || !Object.hasOwn(here, step)) return undefined;
    here = (here as Record<PathStep, unknown>)[step];
  }
  return here;
}

function sentence(issue: ZodIssue, found: unknown): string {
  const but = `found ${describeValue(found)}`;
  // A schema that says itself what it expects.
  if (issue.code !== 'custom' && issue.message.startsWith('expected '))
    return found === undefined
      ? `${issue.message}, but "${lastKey(issue.path)}" is missing; add it`
      : `${issue.message}, ${but}`;
  switch (issue.code) {
    case 'invalid_type':
      return found === undefined
        ? `expected ${typeName(issue.expected)}, but "${lastKey(issue.path)}" is missing; add it`
        : `expected ${typeName(issue.expected)}, ${but}`;
    case 'invalid_value': {
      const words = issue.values.map(String);
      const guess = typeof found === 'string' ? didYouMean(found, words) : '';
      return found === undefined
        ? `expected ${oneOf(words)}, but "${lastKey(issue.path)}" is missing; add it`
        : `expected ${oneOf(words)}, ${but}${guess}`;
    }
    case 'invalid_union':
      return unionSentence(issue, found, but);
    case 'too_small':
      return `expected at least ${issue.minimum}${things(issue.origin, Number(issue.minimum))}, ${foundSize(found, but)}`;
    case 'too_big':
      return `expected at most ${issue.maximum}${things(issue.origin, Number(issue.maximum))}, ${foundSize(found, but)}`;
    case 'invalid_format':
      if (issue.format === 'date') return `expected a day as YYYY-MM-DD, ${but}`;
      return `expected a name of lower-case letters, digits and single hyphens, ${but}`;
    case 'invalid_key':
      return `expected a name of lower-case letters, digits and single hyphens, found the key "${lastKey(issue.path)}"`;
    case 'custom':
      return issue.message;
    default:
      return `${issue.message}, ${but}`;
  }
}

function unionSentence(
  issue: Extract<ZodIssue, { code: 'invalid_union' }>,
  found: unknown,
  but: string,
): string {
  if ('options' in issue && Array.isArray(issue.options)) {
    const words = issue.options.map(String);
    const guess = typeof found === 'string' ? didYouMean(found, words) : '';
    return found === undefined
      ? `expected ${oneOf(words)}, but "${lastKey(issue.path)}" is missing; add it`
      : `expected ${oneOf(words)}, ${but}${guess}`;
  }
  const expected = [
    ...new Set(
      issue.errors.flatMap((errors) =>
        errors
          .filter(({ path }) => path.length === 0)
          .map((error) =>
            error.code === 'invalid_type'
              ? typeName(error.expected)
              : error.code === 'invalid_value'
                ? error.values.map(quoted).join(' or ')
                : '',
          ),
      ),
    ),
  ].filter(Boolean);
  const joined = expected.join(' or ') || 'something else';
  const wanted = joined === 'text or a number' ? 'a figure with its unit' : joined;
  return found === undefined
    ? `expected ${wanted}, but "${lastKey(issue.path)}" is missing; add it`
    : `expected ${wanted}, ${but}`;
}

function quoted(word: unknown): string {
  return typeof word === 'string' ? `"${word}"` : String(word);
}

function typeName(expected: string): string {
  const names: Readonly<Record<string, string>> = {
    string: 'text',
    number: 'a number',
    int: 'a whole number',
    boolean: 'true or false',
    object: 'a mapping',
    record: 'a mapping',
    array: 'a list',
    tuple: 'a list',
    nan: 'a number',
  };
  return names[expected] ?? expected;
}

function oneOf(words: readonly string[]): string {
  return words.length === 1 ? `"${words[0]}"` : `one of ${words.join(', ')}`;
}

function things(origin: string, count: number): string {
  if (origin === 'array' || origin === 'set') return count === 1 ? ' entry' : ' entries';
  if (origin === 'string') return count === 1 ? ' character' : ' characters';
  return '';
}

function foundSize(found: unknown, but: string): string {
  if (Array.isArray(found)) return `found ${found.length === 0 ? 'none' : found.length}`;
  return but;
}

function lastKey(path: readonly PropertyKey[]): string {
  return oneLine(String(path.at(-1) ?? 'the file'));
}
