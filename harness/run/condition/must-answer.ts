import type { LampLink } from '../../bench/ports.ts';
import { callToAsk, linkOf, type StimulusContext } from './stimulus.ts';

/**
 * What a lamp did not do, or did not answer, is its failure only if it was there to hear: a bus that is cut looks the same.
 * Asks it once, when the stimulus is over, on each link that was used and confirms nothing of a command (DALI), or on which
 * an answer that the spec expects did not come; rejects with what that rejects with. On a virtual clock nothing is ever cut.
 */
export async function mustAnswer(context: StimulusContext): Promise<void> {
  if (context.bench.clock.kind === 'virtual') return;
  const { commands, answers, rig } = context;
  const silent = answers.filter(
    ({ reply, expected }) => reply === null && !('silence' in expected),
  );
  const used = new Set([...commands, ...silent].map(({ link }) => link));
  for (const name of used) {
    if (!(name in rig.links)) continue;
    const link = linkOf(context, name);
    const unheard = silent.some((answer) => answer.link === name);
    await ask(link, unheard, context);
  }
}

async function ask(link: LampLink, unheard: boolean, context: StimulusContext): Promise<void> {
  const call = callToAsk(context, link.name);
  if (link.level) await link.level(call);
  else if (unheard) await link.whoIsLamp?.(call);
}
