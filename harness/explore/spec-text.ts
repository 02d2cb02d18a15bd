import { stringify } from 'yaml';
import type { WrittenStep } from '../plan/verbs/verb.ts';

/** Head of a spec that keeps a sequence as a claim. */
export interface KeptHead {
  readonly spec: string;
  readonly claim: string;
  /** Lines of a comment that says where it came from. */
  readonly origin: readonly string[];
}

/** s that the light may rest after the last step. */
export const rest = '1.5 s';

/** What the light is seen by, and what is done before and after the steps. */
export interface KeptFrame {
  readonly before: readonly WrittenStep[];
  readonly after: readonly WrittenStep[];
  /** Of every channel by its current, or of all of them by a photodiode, relative to their light at a mark. */
  readonly seen: 'channel-current' | { readonly fullAt: string };
}

/** On the simulated lamp, which is new each time. */
const fresh: KeptFrame = { before: [], after: [], seen: 'channel-current' };

/** A spec file with these steps, held to the model of the lamp. */
export function specText(
  { spec, claim, origin }: KeptHead,
  steps: readonly WrittenStep[],
  { before, after, seen }: KeptFrame = fresh,
): string {
  const comment = origin.map((line) => `# ${line}\n`).join('');
  const all = [...before, ...steps, { hold: rest }, ...after];
  const list = all.map((step) => `  - ${inOneLine(step)}\n`).join('');
  const signal = seen === 'channel-current' ? seen : 'light';
  const subject =
    seen === 'channel-current' ? 'of: each-channel' : `of: light, reference: ${seen.fullAt}`;
  return `${comment}spec: ${spec}
claim: ${claim}
tags: [explored]
stimulus:
${list}capture:
  - { signal: ${signal}, rate: 10 kHz }
criteria:
  - { metric: time-outside-model, ${subject}, at-most: 5 ms }
  - { metric: wrong-answers, of: lamp, at-most: 0 }
`;
}

/** A step as people write it, in one line. */
export function inOneLine(step: WrittenStep): string {
  const [verb = ''] = Object.keys(step);
  const written = step[verb];
  const value =
    typeof written === 'object'
      ? stringify(written, { collectionStyle: 'flow', lineWidth: 0, flowCollectionPadding: true })
      : stringify(written);
  return `${verb}: ${value.trim()}`;
}
