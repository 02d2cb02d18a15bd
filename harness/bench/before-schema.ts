import * as z from 'zod';
import { name, quantity, readable, words } from '../files/schema-parts.ts';
import { parseQuantity } from '../units/parse-quantity.ts';
import { type Dimension, siUnit } from '../units/unit.ts';

/** A figure in the unit of the wire: SI value, and the unit that it is in. */
export interface WireFigure {
  readonly value: number;
  readonly unit: string;
}

/** What is looked at before the first claim; what is absent is not. Shares 0..1, times in s. */
export interface Before {
  readonly signal: 'light' | 'channel-current' | 'supply-current';
  readonly of: string;
  readonly dark?: { readonly most: WireFigure };
  readonly saturation?: { readonly most: number };
  readonly stable?: { readonly within: number; readonly over: number; readonly most: number };
  readonly reference?: { readonly expected: WireFigure; readonly within: number };
  readonly linearity?: { readonly most: number };
  readonly 'check-standard'?: {
    readonly standard: string;
    readonly lit: 'lamp' | 'standard';
    readonly level: number;
    readonly beyond: 'stop' | 'note';
  };
}

const wireFigure = (about: string, example: string) =>
  readable(
    about,
    `a figure in the unit of the wire, as in ${example}`,
    example,
    (text): WireFigure | null => {
      const parsed = parseQuantity(text);
      if (!parsed.ok) return null;
      const { value, dimension } = parsed.quantity;
      return { value, unit: siUnit[dimension as Dimension] };
    },
  );

const share = (about: string, example: string) =>
  quantity(about, 'ratio', example, { above: 0, most: 1 });

/** `before:` of a rig file: what is looked at before the first claim; each can stop the run. */
export const beforeSchema = z
  .strictObject({
    signal: z.enum(['light', 'channel-current', 'supply-current']).default('light').meta({
      description: 'Signal in the wiring that is looked at.',
    }),
    of: name('Channel, or all.').default('all'),
    dark: z
      .strictObject({
        'at-most': wireFigure('What the input may read with everything off.', '50 mlx'),
      })
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
    reference: z
      .strictObject({
        expected: wireFigure('What the input reads of this lamp at full level.', '512 lx'),
        within: share('Of that.', '2 %'),
      })
      .exactOptional(),
    linearity: z
      .strictObject({
        'at-most': share('The light of all channels against the sum of each alone.', '1 %'),
      })
      .transform(({ 'at-most': most }) => ({ most }))
      .exactOptional(),
    'check-standard': z
      .strictObject({
        standard: words('Its name and serial number; another one begins another history.'),
        lit: z.enum(['lamp', 'standard']).default('lamp').meta({
          description:
            'What shines: the lamp under test, or a light of its own while the lamp has no power.',
        }),
        level: share('Dim level of the lamp.', '100 %').prefault('100 %'),
        beyond: z.enum(['stop', 'note']).default('stop').meta({
          description: 'What a broken rule of the control chart does to the run.',
        }),
      })
      .exactOptional()
      .meta({ description: 'Measured at the start of each run and held against its own history.' }),
  })
  .meta({
    description: 'Looked at before the first claim, and recorded; each can stop the run.',
  }) satisfies z.ZodType<Before>;
