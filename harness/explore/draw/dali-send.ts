import type { Arbitrary } from 'fast-check';
import type { WrittenStep } from '../../plan/verbs/verb.ts';

/** A frame or a command by name, on the DALI bus. */
export function send(dali: string, more: object = {}): WrittenStep {
  return { send: { dali, ...more } };
}

/** A data transfer register is filled. */
export function dtr(
  name: 'dtr0' | 'dtr1' | 'dtr2',
  value: Arbitrary<number>,
): Arbitrary<WrittenStep> {
  return value.map((own) => send(name, { value: own }));
}
