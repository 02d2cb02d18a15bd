import * as z from 'zod';
import { instant, nothing, reaches, type Verb } from './verb.ts';

export interface ResetStep {
  readonly verb: 'reset';
}

const schema = z.union([z.null(), z.literal('now')]);

/** The firmware restarts. */
export const reset: Verb<z.infer<typeof schema>, ResetStep> = {
  verb: 'reset',
  about: 'Restart the firmware.',
  schema: () => schema,
  read: () => ({ verb: 'reset' }),
  words: () => 'restart the firmware',
  lasts: instant,
  needs: nothing,
  misses: reaches,
  async perform(_, run) {
    const { port, call } = run.link(undefined);
    await port.reset(call);
    run.note({ link: port.link, text: 'restart of the firmware' });
  },
};
