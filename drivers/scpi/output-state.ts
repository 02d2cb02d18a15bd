import type { OutputState } from './profile-schema.ts';
import type { ScpiSession, Talk } from './session.ts';

/** Whether an output says that it is on. Throws BenchError `garbled` on any other answer than its profile knows. */
export async function isOutputOn(
  session: ScpiSession,
  { query, on, off }: OutputState,
  { ask }: Talk,
): Promise<boolean> {
  const answer = await ask(query);
  if (on.includes(answer)) return true;
  if (off.includes(answer)) return false;
  throw unexpectedAnswer(session, { query, answer }, [...on, ...off]);
}

/** An answer that the profile does not know. */
export function unexpectedAnswer(
  session: ScpiSession,
  { query, answer }: { readonly query: string; readonly answer: string },
  expected: readonly string[],
) {
  return session.error(
    'garbled',
    `it answered "${query}" with "${answer.slice(0, 60)}"; expected ${expected.join(' or ')}`,
  );
}
