import * as z from 'zod';
import { linkName, readLinkName } from './named-link.ts';
import { instant, type Verb } from './verb.ts';

export interface CarryStep {
  readonly verb: 'carry';
  readonly link: string;
  readonly on: boolean;
}

const schema = z.strictObject({ link: linkName, on: z.boolean() });

/** A link that sends all the time falls silent, or goes on. */
export const carry: Verb<z.infer<typeof schema>, CarryStep> = {
  verb: 'carry',
  about: 'Stop sending on a link that sends all the time, or go on.',
  schema: () => schema,
  read({ link, on }, reader) {
    return { verb: 'carry', link: readLinkName(link, reader.at('link'), 'stops'), on };
  },
  words({ link, on }) {
    return `${on ? 'let the signal go on' : 'stop the signal'} on ${link}`;
  },
  lasts: instant,
  needs: ({ link }) => ({ link }),
  misses: ({ link }, listening) => listening.missOfSignal(link),
  async perform({ link, on }, run) {
    const { port, call } = run.link(link);
    await port.carry(on, call);
    run.note({ link: port.link, text: on ? 'signal on' : 'signal off' });
  },
};
