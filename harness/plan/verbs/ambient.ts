import * as z from 'zod';
import { scalar } from '../../files/schema-parts.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import { longestTime } from './longest-time.ts';
import { nothing, reaches, type Verb } from './verb.ts';

export interface AmbientStep {
  readonly verb: 'ambient';
  /** °C */
  readonly celsius: number;
  /** s */
  readonly over: number;
}

const schema = z.strictObject({
  temperature: scalar('What the air about the lamp is to have then.', '60 °C', '$temperature'),
  over: scalar('Time in which it goes there.', '20 min'),
});

/** The air about the lamp goes to another temperature, straight; the lamp follows with its own time constant. */
export const ambient: Verb<z.infer<typeof schema>, AmbientStep> = {
  verb: 'ambient',
  about: 'Take the air about the lamp to another temperature.',
  schema: () => schema,
  read({ temperature, over }, reader) {
    return {
      verb: 'ambient',
      celsius: reader
        .at('temperature')
        .figure(temperature, 'temperature', { least: -100, most: 200 }),
      over: reader.at('over').figure(over, 'time', { above: 0, most: longestTime }),
    };
  },
  words({ celsius, over }) {
    return `take the air about the lamp to ${formatQuantity(celsius, 'temperature')} in ${formatQuantity(over, 'time')}`;
  },
  lasts: ({ over }) => over,
  // Whether the rig has a chamber that goes there is told with the condition's own air.
  needs: nothing,
  misses: reaches,
  async perform({ celsius, over }, run) {
    const chamber = await run.moveAir({ celsius, over });
    run.note({ link: chamber, text: `air to ${celsius} °C in ${over} s` });
  },
};
