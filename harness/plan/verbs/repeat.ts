import * as z from 'zod';
import { scalar } from '../../files/schema-parts.ts';
import type { Raw } from '../value-reader.ts';
import { type AnyStep, instant, nothing, type Verb, type WrittenStep } from './verb.ts';

export interface RepeatStep<Step extends AnyStep = AnyStep> {
  readonly verb: 'repeat';
  readonly times: number;
  readonly steps: readonly Step[];
}

interface Written {
  readonly times: Raw;
  readonly steps: readonly WrittenStep[];
}

/** The steps that it holds are done several times, one turn after another. */
export const repeat: Verb<Written, RepeatStep> = {
  verb: 'repeat',
  about: 'Do some steps several times.',
  schema(step) {
    return z.strictObject({ times: scalar('How often.', 10), steps: z.array(step).min(1) });
  },
  read(written, reader, readSteps) {
    const times = reader.at('times').whole(written.times, 1, 100_000);
    return { verb: 'repeat', times, steps: readSteps(written.steps, reader.at('steps')) };
  },
  words({ times, steps }, wordsOf) {
    return `${times} times: ${steps.map(wordsOf).join('; ')}`;
  },
  lasts: instant,
  needs: nothing,
  holds: ({ steps, times }) => ({ steps, times }),
};
