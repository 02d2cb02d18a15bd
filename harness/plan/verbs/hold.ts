import { scalar } from '../../files/schema-parts.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import type { Raw } from '../value-reader.ts';
import { longestHold } from './longest-time.ts';
import { nothing, type Verb } from './verb.ts';

export interface HoldStep {
  readonly verb: 'hold';
  /** s */
  readonly time: number;
}

const schema = scalar('How long.', '500 ms');

/** Time passes. */
export const hold: Verb<Raw, HoldStep> = {
  verb: 'hold',
  about: 'Let time pass.',
  schema: () => schema,
  read(written, reader) {
    return { verb: 'hold', time: reader.figure(written, 'time', { least: 0, most: longestHold }) };
  },
  words: ({ time }) => `hold for ${formatQuantity(time, 'time', time > 86_400 ? 'd' : undefined)}`,
  lasts: ({ time }) => time,
  needs: nothing,
};
