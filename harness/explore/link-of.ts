import { rawLinks } from '../plan/links/link-languages.ts';
import type { WrittenStep } from '../plan/verbs/verb.ts';

/** What a sequence says that speaks on several links, and one that says nothing. */
const several = 'mixed';
const nothing = 'none';

/**
 * The link that a sequence speaks on, or that it speaks on several. A signal that stops, as before a rest of days, is nothing said.
 */
export function linkOf(steps: readonly WrittenStep[]): string {
  const spoken = new Set(steps.flatMap(spokenIn));
  const [first = nothing] = spoken;
  return spoken.size > 1 ? several : first;
}

function spokenIn(step: WrittenStep): readonly string[] {
  const [verb = ''] = Object.keys(step);
  // Colour temperatures go over DALI alone.
  if (verb === 'white') return ['dali'];
  const written = verb === 'carry' ? null : step[verb];
  if (typeof written !== 'object' || written === null) return [];
  const named = rawLinks.find((link) => link in written);
  if (named) return [named];
  return 'link' in written ? [String(written.link)] : [];
}
