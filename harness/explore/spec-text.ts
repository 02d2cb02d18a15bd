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

/** A spec file with these steps, held to the model of the lamp. */
export function specText({ spec, claim, origin }: KeptHead, steps: readonly WrittenStep[]): string {
  const comment = origin.map((line) => `# ${line}\n`).join('');
  const list = [...steps, { hold: rest }].map((step) => `  - ${inOneLine(step)}\n`).join('');
  return `${comment}spec: ${spec}
claim: ${claim}
tags: [explored]
stimulus:
${list}capture:
  - { signal: channel-current, rate: 10 kHz }
criteria:
  - { metric: time-outside-model, of: each-channel, at-most: 5 ms }
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
