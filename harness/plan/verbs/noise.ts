import * as z from 'zod';
import type { Lamp } from '../../bench/lamp.ts';
import { scalar } from '../../files/schema-parts.ts';
import { findLanguage } from '../links/link-languages.ts';
import { seededRandom } from '../seeded-random.ts';
import { linkName, readLinkName } from './named-link.ts';
import { reaches, type Verb } from './verb.ts';

export interface NoiseStep {
  readonly verb: 'noise';
  readonly link: string;
  readonly bytes: number;
}

const schema = z.strictObject({ link: linkName, bytes: scalar('How many random bytes.', 200) });

/** Random bytes that are no message disturb a link. */
export const noise: Verb<z.infer<typeof schema>, NoiseStep> = {
  verb: 'noise',
  about: 'Put random bytes that are no message on a link; the same for the same seed.',
  schema: () => schema,
  read(written, reader) {
    const link = readLinkName(written.link, reader.at('link'), 'takesNoise');
    return { verb: 'noise', link, bytes: reader.at('bytes').whole(written.bytes, 1, 1000) };
  },
  words: ({ link, bytes }) => `put ${bytes} random bytes on ${link}`,
  lasts: noiseTime,
  needs: ({ link }) => ({ link }),
  misses: reaches,
  async perform(step, run) {
    const { port, call } = run.link(step.link);
    const deadline = call.deadline + noiseTime(step, run.lamp);
    // Other bytes at each step of a condition.
    const draw = seededRandom(run.seed + run.commandCount);
    const bytes = Uint8Array.from({ length: step.bytes }, () => Math.floor(256 * draw()));
    await port.noise(bytes, { ...call, deadline });
    run.note({ link: port.link, text: `${step.bytes} random bytes` });
  },
};

function noiseTime({ link, bytes }: NoiseStep, lamp: Lamp): number {
  return findLanguage(link)?.noiseTime?.(lamp, bytes) ?? 0;
}
