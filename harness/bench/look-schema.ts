import * as z from 'zod';
import { name, quantity, readable, words } from '../files/schema-parts.ts';
import { parseQuantity } from '../units/parse-quantity.ts';
import { type Dimension, siUnit } from '../units/unit.ts';

/** A figure in the unit of the wire: SI value, and the unit that it is in. */
export interface WireFigure {
  readonly value: number;
  readonly unit: string;
}

/** The wire that a look at the bench reads. */
export interface LookedAt {
  readonly signal: 'light' | 'channel-current' | 'supply-current';
  readonly of: string;
}

/** What a broken limit does: before the first claim it stops the run, after the last one it makes the run an error; or it is noted. */
export type Beyond = 'stop' | 'note';

export interface CheckStandard {
  readonly standard: string;
  readonly lit: 'lamp' | 'standard';
  /** 0..1 */
  readonly level: number;
  readonly beyond: Beyond;
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

export const share = (about: string, example: string) =>
  quantity(about, 'ratio', example, { above: 0, most: 1 });

/** Keys of `before:` and `after:` that say where is looked. */
export const lookedAt = {
  signal: z.enum(['light', 'channel-current', 'supply-current']).default('light').meta({
    description: 'Signal in the wiring that is looked at.',
  }),
  of: name('Channel, or all.').default('all'),
};

export const dark = {
  'at-most': wireFigure('What the input may read with everything off.', '50 mlx'),
};

export const reference = {
  expected: wireFigure('What the input reads of this lamp at full level.', '512 lx'),
  within: share('Of that.', '2 %'),
};

export const beyond = (about: string) =>
  z.enum(['stop', 'note']).default('stop').meta({ description: about });

export const checkStandard = z.strictObject({
  standard: words('Its name and serial number; another one begins another history.'),
  lit: z.enum(['lamp', 'standard']).default('lamp').meta({
    description:
      'What shines: the lamp under test, or a light of its own while the lamp has no power.',
  }),
  level: share('Dim level of the lamp.', '100 %').prefault('100 %'),
  beyond: beyond('What a broken rule of the control chart does to the run.'),
});
