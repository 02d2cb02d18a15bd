import { callToAsk, linkOf, type StimulusContext } from './stimulus.ts';

/**
 * A lamp that stayed silent where the spec expects an answer fails, but only if it is there: a bus that is cut is silent too.
 * Asks it once on each such link; rejects with what that rejects with. On a virtual clock nothing is ever cut.
 */
export async function mustAnswer(context: StimulusContext): Promise<void> {
  if (context.bench.clock.kind === 'virtual') return;
  const silent = context.answers.filter(
    ({ reply, expected }) => reply === null && !('silence' in expected),
  );
  for (const name of new Set(silent.map(({ link }) => link))) {
    const link = linkOf(context, name);
    await link.whoIsLamp?.(callToAsk(context, link.name));
  }
}
