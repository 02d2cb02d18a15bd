import type { Metric } from '../../measure/metric.ts';
import { judge } from '../../verdict/judge.ts';
import type { Limits } from '../../verdict/limits.ts';
import type { Assessed } from '../../verdict/uncertainty.ts';
import { verdictOfUnmeasurable } from '../../verdict/unmeasurable.ts';
import type { Ending } from '../../verdict/verdict.ts';
import { type MeasureFlags, quantityOption, usage } from './measure-options.ts';

/** A tolerance, and how the value stands in it. */
export interface JudgedBy {
  readonly limits: Limits;
  readonly verdict: Ending;
  /** Absent where nothing was measured, which then says why. */
  readonly reason?: string;
}

/** `--at-most`, `--at-least` or `--between`, in the unit of the one metric that was asked for; null where none is given. */
export function limitsOption(
  { atMost, atLeast, between }: MeasureFlags,
  chosen: readonly Metric[],
): Limits | null {
  const given = Object.entries({ 'at-most': atMost, 'at-least': atLeast, between }).filter(
    (pair): pair is [string, string] => pair[1] !== undefined,
  );
  const [first, ...others] = given;
  if (!first) return null;
  const [name, text] = first;
  if (others.length > 0)
    throw usage(`give one of --at-most, --at-least and --between, found ${given.length} of them`);
  const [metric, ...more] = chosen;
  if (!metric || more.length > 0)
    throw usage(`--${name}: expected one metric to judge, as in --metric modulation`);
  const figure = (part: string): number => quantityOption(name, part, metric.dimension);
  if (name === 'at-most') return { ...open, upper: figure(text), text: `at most ${text}` };
  if (name === 'at-least') return { ...open, lower: figure(text), text: `at least ${text}` };
  const parts = text.split('..');
  const [low = '', high = ''] = parts.map((part) => part.trim());
  if (parts.length !== 2)
    throw usage(`--between: expected two limits, as in "1.9 s..2.1 s", found "${text}"`);
  const [lower, upper] = [figure(low), figure(high)];
  if (!(upper > lower)) throw usage(`--between: expected the higher limit last, found "${text}"`);
  return { lower, upper, target: null, text: `${low} to ${high}` };
}

const open = { lower: null, upper: null, target: null };

/** By the guarded rule, as a run does: a value within U of its limit is inconclusive. */
export function judgedBy(assessed: Assessed, limits: Limits): JudgedBy {
  if (!('expanded' in assessed))
    return { limits, verdict: verdictOfUnmeasurable(assessed.outcome.reason) };
  const { value, floor } = assessed.outcome;
  return { limits, ...judge(value, assessed.expanded, limits, 'guarded', floor) };
}
