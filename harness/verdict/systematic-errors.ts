import type { Disturbance } from '../measure/analysis/disturb.ts';
import type { CalibrationInput, Metric } from '../measure/metric.ts';
import type { KnownInput } from './known-input.ts';
import { isUndithered, nameOf, quantisation } from './rounding-error.ts';

/** An error that is the same for all samples of a record. */
export interface SystematicError {
  readonly name: string;
  moves(input: KnownInput): boolean;
  disturbance(input: KnownInput, sign: 1 | -1): Disturbance;
}

/** `inputs`: of the captures that the metric read. */
export function systematicErrors(metric: Metric, inputs: readonly KnownInput[]): SystematicError[] {
  const blind = new Set<CalibrationInput>(metric.blindTo);
  const errors: SystematicError[] = [];
  for (const [name, group] of groups(inputs, 'sharedScale', ({ standardScale }) => standardScale)) {
    if (isColour(group)) errors.push(...axisErrors(name, group));
    else if (!blind.has('scale')) errors.push(scaleError(name, group));
  }
  errors.push(...budgetErrors(inputs, blind.has('scale')));
  if (!blind.has('offset')) {
    for (const [name, group] of groups(
      inputs,
      'sharedScale',
      ({ standardOffset }) => standardOffset,
    ))
      errors.push({
        name: `offset of ${name}`,
        moves: (input) => group.has(input),
        disturbance: ({ standardOffset }, sign) => ({ offset: sign * standardOffset }),
      });
  }
  if (!blind.has('quantisation')) {
    for (const input of inputs.filter(isUndithered))
      errors.push({
        name: `quantisation of ${nameOf(input)}`,
        moves: (other) => other === input,
        disturbance: ({ step }, sign) => ({ offset: sign * quantisation(step) }),
      });
  }
  if (!blind.has('time-base')) {
    for (const [name, group] of groups(inputs, 'sharedTimeBase', ({ timeBase }) => timeBase))
      errors.push({
        name: `time base of ${name}`,
        moves: (input) => group.has(input),
        disturbance: ({ timeBase }, sign) => ({ stretch: 1 + sign * timeBase }),
      });
  }
  return errors;
}

/**
 * The three filters of a colour sensor are calibrated apart and err independently. No colour is blind to that: what
 * cancels in a chromaticity is a scale that all three share.
 */
function axisErrors(name: string, group: ReadonlySet<KnownInput>): SystematicError[] {
  return (['X', 'Y', 'Z'] as const).map((axis) => scaleError(name, group, axis));
}

function scaleError(
  name: string,
  group: ReadonlySet<KnownInput>,
  axis?: 'X' | 'Y' | 'Z',
): SystematicError {
  return {
    name: axis ? `scale of ${name}, ${axis}` : `scale of ${name}`,
    moves: (input) => group.has(input),
    disturbance: ({ standardScale }, sign) => ({
      gain: 1 + sign * standardScale,
      ...(axis && { axis }),
    }),
  };
}

/** The lines of a scale's budget, each an error of its own; a ratio of two readings is blind to all but the linearity. */
function budgetErrors(inputs: readonly KnownInput[], blindToScale: boolean): SystematicError[] {
  const lines = new Set(inputs.flatMap(({ budget = {} }) => Object.keys(budget)));
  return [...lines]
    .filter((line) => line === 'linearity' || !blindToScale)
    .flatMap((line) => {
      const shareOf = ({ budget }: KnownInput): number => budget?.[line] ?? 0;
      const own = [...groups(inputs, 'sharedScale', shareOf)];
      return own.map(
        ([name, group]): SystematicError => ({
          name: `${line.replace('-', ' ')} of ${name}`,
          moves: (input) => group.has(input),
          disturbance: (input, sign) =>
            line === 'linearity'
              ? { bow: { error: sign * shareOf(input), fullScale: input.fullScale ?? 1 } }
              : { gain: 1 + sign * shareOf(input) },
        }),
      );
    });
}

function isColour(group: ReadonlySet<KnownInput>): boolean {
  return [...group].every(({ signal }) => signal === 'colour');
}

/** Inputs with a non-zero uncertainty, gathered by the error that they share; one without a shared name stands alone. */
function groups(
  inputs: readonly KnownInput[],
  shared: 'sharedScale' | 'sharedTimeBase',
  standard: (input: KnownInput) => number,
): Map<string, Set<KnownInput>> {
  const found = new Map<string, Set<KnownInput>>();
  for (const input of inputs) {
    if (standard(input) === 0) continue;
    const name = input[shared] ?? nameOf(input);
    found.set(name, (found.get(name) ?? new Set()).add(input));
  }
  return found;
}
