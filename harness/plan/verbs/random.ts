import * as z from 'zod';
import { scalar } from '../../files/schema-parts.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import { seededRandom } from '../seeded-random.ts';
import { settingTime } from './light-change.ts';
import { longestTime } from './longest-time.ts';
import { nothing, type Verb } from './verb.ts';

export interface RandomStep {
  readonly verb: 'random';
  readonly commands: number;
  /** s */
  readonly every: number;
}

const schema = z.strictObject({
  commands: scalar('How many random settings.', 1000),
  every: scalar('From one to the next.', '20 ms'),
});

/** A storm of random levels and intensities at a fixed pace. */
export const random: Verb<z.infer<typeof schema>, RandomStep> = {
  verb: 'random',
  about: 'Send a storm of random settings, the same for the same seed.',
  schema: () => schema,
  read(written, reader) {
    const commands = reader.at('commands').whole(written.commands, 1, 100_000);
    const bounds = { above: 0, most: longestTime };
    return {
      verb: 'random',
      commands,
      every: reader.at('every').figure(written.every, 'time', bounds),
    };
  },
  words({ commands, every }) {
    return `${commands} random settings, one every ${formatQuantity(every, 'time')}`;
  },
  lasts({ commands, every }, lamp) {
    const slowest = settingTime({ mix: { name: 'all' } }, lamp);
    return commands * Math.max(every, slowest);
  },
  needs: nothing,
  misses: (_, listening) => listening.hear(undefined),
  commands: ({ commands }) => commands,
  async perform({ commands, every }, run) {
    const draw = seededRandom(run.seed);
    const start = run.now();
    const { port, call } = run.link(undefined);
    for (let turn = 0; turn < commands; turn++) {
      await run.waitUntil(start + turn * every);
      const intensities = run.lamp.channels.map(({ channel }) => [channel, draw()] as const);
      const target = run.masked({ level: draw(), intensities: Object.fromEntries(intensities) });
      await port.set(target, call);
      run.light.set(run.effectOf(port).at, target);
    }
    run.note({ link: port.link, text: `${commands} random settings, one every ${every} s` });
  },
};
