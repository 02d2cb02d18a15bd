import * as z from 'zod';
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
import type { Verb } from './verb.ts';

export interface SetStep extends LightChange {
  readonly verb: 'set';
}

const schema = z.strictObject(lightChangeKeys);

/** All channels take a level, a mix or both at once. */
export const set: Verb<z.infer<typeof schema>, SetStep> = {
  verb: 'set',
  about: 'Take a level, a mix or both at once.',
  schema: () => schema,
  read(written, reader) {
    return { verb: 'set', ...readLightChange(written, reader) };
  },
  words(step) {
    return `set ${lightChangeWords(step)}${linkWords(step)}`;
  },
  lasts: settingTime,
  needs: ({ link }) => ({ link }),
  misses: ({ link }, listening) => listening.hear(link),
  command(step, light, at) {
    light.set(at, light.complete(step));
  },
  async perform(step, run) {
    const target = run.masked(run.light.complete(step));
    const { port, call } = run.link(step.link);
    shapeFrames(port, step.frame);
    await port.set(target, call);
    const effect = run.effectOf(port);
    run.light.set(effect.at, target);
    run.note({ link: port.link, text: targetText(target), effect });
  },
};
