import { rawLinks } from '../plan/links/link-languages.ts';
import type { WrittenStep } from '../plan/verbs/verb.ts';

/** The link that a sequence speaks on; none where it says nothing. A signal that stops, as before a rest of days, is nothing said. */
export function linkOf(steps: readonly WrittenStep[]): string {
  for (const step of steps) {
    const [verb = ''] = Object.keys(step);
    const written = verb === 'carry' ? null : step[verb];
    if (typeof written !== 'object' || written === null) continue;
    const named = rawLinks.find((link) => link in written);
    if (named) return named;
    if ('link' in written) return String(written.link);
  }
  return 'none';
}
