import { ambient } from './ambient.ts';
import { ask } from './ask.ts';
import { carry } from './carry.ts';
import { fade } from './fade.ts';
import { hold } from './hold.ts';
import { mark } from './mark.ts';
import { noise } from './noise.ts';
import { random } from './random.ts';
import { repeat } from './repeat.ts';
import { reset } from './reset.ts';
import { send } from './send.ts';
import { set } from './set.ts';
import { supply } from './supply.ts';
import { tell } from './tell.ts';
import type { AnyStep, Verb } from './verb.ts';
import { white } from './white.ts';

/** Every verb of the stimulus, in the order in which lists name them. */
export const verbs = [
  set,
  fade,
  white,
  hold,
  send,
  ask,
  tell,
  carry,
  noise,
  supply,
  ambient,
  reset,
  mark,
  repeat,
  random,
] as const;

type StepOf<Own> = Own extends Verb<infer _, infer Step> ? WithSteps<Step> : never;
/** Where a verb holds steps of its own, they are steps of any verb. */
type WithSteps<Own> = Own extends { readonly steps: readonly AnyStep[] }
  ? Omit<Own, 'steps'> & { readonly steps: readonly Step[] }
  : Own;

/** A step of a stimulus as planned. */
export type Step = StepOf<(typeof verbs)[number]>;

const byName: ReadonlyMap<string, Verb> = new Map(verbs.map((own) => [own.verb, own as Verb]));

export const verbNames: readonly string[] = [...byName.keys()];

export function findVerb(name: string): Verb | undefined {
  return byName.get(name);
}

/** The verb of a step. */
export function verbOf({ verb }: AnyStep): Verb {
  const own = byName.get(verb);
  if (!own) throw new Error(`no verb "${verb}"; verbs: ${verbNames.join(', ')}`);
  return own;
}

/** The steps that a step holds, and how often they are done; null for a step that holds none. */
export function heldBy(
  step: Step,
): { readonly steps: readonly Step[]; readonly times: number } | null {
  const held = verbOf(step).holds?.(step);
  return held ? { times: held.times, steps: held.steps as readonly Step[] } : null;
}

/** The steps of a stimulus and those that they hold, each once. */
export function allSteps(steps: readonly Step[]): readonly Step[] {
  return steps.flatMap((step) => [step, ...allSteps(heldBy(step)?.steps ?? [])]);
}

/** A step in plain words. */
export function stepWords(step: AnyStep): string {
  return verbOf(step).words(step, stepWords);
}
