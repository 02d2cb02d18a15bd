import * as z from 'zod';
import { scalar } from '../../files/schema-parts.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import {
  type LightChange,
  lightChangeKeys,
  lightChangeWords,
  linkWords,
  readLightChange,
  settingTime,
  shapeFrames,
  targetText,
} from './light-change.ts';
import { longestTime } from './longest-time.ts';
import type { Verb } from './verb.ts';

export interface FadeStep extends LightChange {
  readonly verb: 'fade';
  /** s */
  readonly over: number;
  /** Wait for the fade's end before the next step. */
  readonly wait: boolean;
}

const schema = z.strictObject({
  ...lightChangeKeys,
  over: scalar('Fade time.', '2 s'),
  wait: z.boolean().optional().meta({ description: 'false: go on with the next step at once.' }),
});

/** All channels leave for a level, a mix or both, and arrive together. */
export const fade: Verb<z.infer<typeof schema>, FadeStep> = {
  verb: 'fade',
  about: 'Fade to a level, a mix or both.',
  schema: () => schema,
  read(written, reader) {
    const over = reader.at('over').figure(written.over, 'time', { least: 0, most: longestTime });
    const change = readLightChange(written, reader);
    return { verb: 'fade', ...change, over, wait: written.wait ?? true };
  },
  words(step) {
    const time = step.over === 0 ? 'at once' : `over ${formatQuantity(step.over, 'time')}`;
    const wait = step.wait ? '' : ', and go on without waiting';
    return `fade to ${lightChangeWords(step)} ${time}${linkWords(step)}${wait}`;
  },
  lasts(step, lamp) {
    return (step.wait ? step.over : 0) + settingTime(step, lamp);
  },
  needs: ({ link }) => ({ link }),
  misses: ({ link }, listening) => listening.hear(link),
  command(step, light, at) {
    light.fade(at, light.complete(step), step.over);
  },
  async perform(step, run) {
    const target = run.masked(run.light.complete(step));
    const { port, call } = run.link(step.link);
    shapeFrames(port, step.frame);
    await port.fade(target, step.over, call);
    const effect = run.effectOf(port);
    run.light.fade(effect.at, target, step.over);
    run.note({ link: port.link, text: `${targetText(target)} over ${step.over} s`, effect });
  },
};
