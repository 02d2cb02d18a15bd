import { createHash } from 'node:crypto';
import type { Condition } from '../../plan/plan.ts';

/** What a condition asked the bench for: two sha256, equal for equal requests whatever the spec file looked like. */
export interface RequestDigest {
  readonly stimulus: string;
  readonly captures: string;
}

export function requestDigest({ stimulus, ambient, captures, probes }: Condition): RequestDigest {
  // Records of earlier versions know of no air.
  const commanded = ambient ? { stimulus, ambient } : stimulus;
  return {
    stimulus: digestOf(commanded),
    captures: digestOf(probes ? { captures, probes } : captures),
  };
}

function digestOf(value: unknown): string {
  return createHash('sha256').update(JSON.stringify(value, sortedKeys)).digest('hex');
}

/** The order of keys in a file is the writer's habit, no part of the request. */
function sortedKeys(_key: string, value: unknown): unknown {
  if (value === null || typeof value !== 'object' || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
}
