import * as z from 'zod';
import type { Before } from './before-schema.ts';
import {
  type Beyond,
  beyond,
  type CheckStandard,
  checkStandard,
  dark,
  type LookedAt,
  lookedAt,
  reference,
  share,
  type WireFigure,
} from './look-schema.ts';

/** What is looked at after the last claim; what is absent is not. Shares 0..1. */
export interface After extends LookedAt {
  readonly dark?: { readonly most: WireFigure; readonly beyond: Beyond };
  readonly reference?: {
    readonly expected: WireFigure;
    readonly within: number;
    readonly beyond: Beyond;
  };
  readonly drift?: { readonly most: number; readonly beyond: Beyond };
  readonly 'check-standard'?: CheckStandard;
}

const ends = beyond('What a broken limit does: stop makes the run a bench error, note records it.');

/** `after:` of a rig file: what is looked at after the last claim; a broken limit makes the run a bench error. */
export const afterSchema = z
  .strictObject({
    ...lookedAt,
    dark: z
      .strictObject({ ...dark, beyond: ends })
      .transform(({ 'at-most': most, ...rest }) => ({ most, ...rest }))
      .exactOptional(),
    reference: z.strictObject({ ...reference, beyond: ends }).exactOptional(),
    drift: z
      .strictObject({
        'at-most': share('Of the reading before the first claim.', '1 %'),
        beyond: ends,
      })
      .transform(({ 'at-most': most, ...rest }) => ({ most, ...rest }))
      .exactOptional()
      .meta({
        description:
          'The lamp at full level, or the check standard, against its reading before the first claim; needs a before: that reads the same.',
      }),
    'check-standard': checkStandard.exactOptional().meta({
      description: 'Measured at the end of each run and held against a history of its own.',
    }),
  })
  .meta({
    description:
      'Looked at after the last claim, and recorded; a broken limit makes the run a bench error.',
  }) satisfies z.ZodType<After>;

/** What `drift` reads before and after: the check standard where both have the same one, or else the lamp at full level. */
export function driftLight(
  before: Before,
  { 'check-standard': standard }: Pick<After, 'check-standard'>,
): 'standard' | 'lamp' {
  const was = before['check-standard'];
  const keys = ['standard', 'lit', 'level'] as const;
  return was && standard && keys.every((key) => was[key] === standard[key]) ? 'standard' : 'lamp';
}

/** Why `drift` cannot be told, in words; null where it can, or nobody asks for it. */
export function driftProblem(before: Before | undefined, after: After): string | null {
  if (!after.drift) return null;
  if (!before)
    return 'expected a before: that reads the same light before the first claim, found none';
  const { signal, of } = after;
  if (before.signal !== signal || before.of !== of)
    return `expected a before: of ${signal} of ${of} as well, found ${before.signal} of ${before.of}`;
  if (driftLight(before, after) === 'standard' || before.stable || before.reference) return null;
  return 'expected stable or reference in before:, or the same check-standard in both, found none of them';
}
