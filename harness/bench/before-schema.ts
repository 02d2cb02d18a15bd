import * as z from 'zod';
import { quantity } from '../files/schema-parts.ts';
import {
  type CheckStandard,
  checkStandard,
  dark,
  type LookedAt,
  lookedAt,
  reference,
  share,
  type WireFigure,
} from './look-schema.ts';

/** What is looked at before the first claim; what is absent is not. Shares 0..1, times in s. */
export interface Before extends LookedAt {
  readonly dark?: { readonly most: WireFigure };
  readonly saturation?: { readonly most: number };
  readonly stable?: { readonly within: number; readonly over: number; readonly most: number };
  readonly reference?: { readonly expected: WireFigure; readonly within: number };
  readonly linearity?: { readonly most: number };
  readonly 'check-standard'?: CheckStandard;
}

/** `before:` of a rig file: what is looked at before the first claim; each can stop the run. */
export const beforeSchema = z
  .strictObject({
    ...lookedAt,
    dark: z
      .strictObject(dark)
      .transform(({ 'at-most': most }) => ({ most }))
      .exactOptional(),
    saturation: z
      .strictObject({
        'at-most': share('Of full scale, with the lamp at full level.', '90 %'),
      })
      .transform(({ 'at-most': most }) => ({ most }))
      .exactOptional(),
    stable: z
      .strictObject({
        within: share('What the mean may change by.', '0.5 %'),
        over: quantity('In this time.', 'time', '1 min', { least: 1, most: 3600 }),
        'at-most': quantity('How long that is waited for.', 'time', '30 min', {
          above: 0,
          most: 86_400,
        }),
      })
      .transform(({ 'at-most': most, ...rest }) => ({ ...rest, most }))
      .exactOptional(),
    reference: z.strictObject(reference).exactOptional(),
    linearity: z
      .strictObject({
        'at-most': share('The light of all channels against the sum of each alone.', '1 %'),
      })
      .transform(({ 'at-most': most }) => ({ most }))
      .exactOptional(),
    'check-standard': checkStandard
      .exactOptional()
      .meta({ description: 'Measured at the start of each run and held against its own history.' }),
  })
  .meta({
    description: 'Looked at before the first claim, and recorded; each can stop the run.',
  }) satisfies z.ZodType<Before>;
