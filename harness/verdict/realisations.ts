import type { Measured, NotMeasurable, Outcome } from '../measure/outcome.ts';

/** One error, up and down by one standard uncertainty: the change of the value, or why neither could be computed. */
export function bothWays(
  nominal: Measured,
  compute: (sign: 1 | -1) => Outcome,
): number | NotMeasurable {
  const up = compute(1);
  const down = compute(-1);
  const changes = [up, down].flatMap((outcome) => change(outcome, nominal));
  if (changes.length === 0 && !up.measured) return up;
  return rootMeanSquare(changes);
}

/**
 * How many realisations of the noise are computed; by how much Student's t exceeds the normal distribution's 2 at
 * that number (t for 95.45 %, over 2; JCGM 100:2008 table G.2; computed); and how far beyond their root mean square the
 * standard deviation may lie (95 %: root of the number over the 5 % quantile of chi-squared; computed). The first stages are enough where even
 * that hardly matters: to end by the figure itself would pick out the realisations that happen to be small.
 */
const stages = [
  { runs: 1, student: 6.9839, beyond: 15.95 },
  { runs: 2, student: 2.2633, beyond: 4.415 },
  { runs: 4, student: 1.4347, beyond: 2.372 },
  { runs: 8, student: 1.1832, beyond: 1.711 },
] as const;

/** Noise below this part of all other contributions is not looked at more closely. */
export const negligible = 0.2;

/** The value with another realisation of the noise on top, `times` as strong. */
export type Realise = (run: number, times: number) => Outcome;

/** What noise does to a value, as standard uncertainties. */
export interface NoiseDoubt {
  /** About the value, both ways: another measurement has another such error. */
  readonly scatter: number;
  /** Factor in `scatter` that makes up for few realisations. */
  readonly allowance: number;
  /** To one side, always the same: another measurement has it as well. */
  readonly oneSided: number;
}

/**
 * Standard uncertainty from a few realisations of the noise, or why there is none.
 *
 * Changes that scatter about 0 count by their rms, times Student's factor. Where noise drives the value one way, as it does
 * extremes, a few realisations of three times the noise tell how far: see `oneWay`.
 */
export function realisations(
  nominal: Measured,
  enough: (standard: number, runs: number, atMost: number) => boolean,
  realise: Realise,
): NoiseDoubt | NotMeasurable {
  const changes: number[] = [];
  let refused: NotMeasurable | undefined;
  let standard = 0;
  let allowance = 1;
  let run = 0;
  for (const { runs, student, beyond } of stages) {
    while (changes.length < runs) {
      const outcome = realise(run++, 1);
      if (!outcome.measured) {
        if (refused) return refused;
        refused = outcome;
        continue;
      }
      changes.push(outcome.value - nominal.value);
    }
    const scatter = rootMeanSquare(changes);
    standard = scatter * student;
    allowance = student;
    if (enough(standard, runs, scatter * beyond))
      return { scatter: standard, allowance: student, oneSided: 0 };
  }
  const oneSided = isOneWay(changes) ? oneWay(nominal, run, realise) : 0;
  return { scatter: standard, allowance, oneSided };
}

/** Does the mean of the changes lie off 0 by more than it seldom does by mere scatter? */
function isOneWay(changes: readonly number[]): boolean {
  const runs = changes.length;
  const mean = changes.reduce((sum, each) => sum + each, 0) / runs;
  const square = rootMeanSquare(changes) ** 2;
  return (mean * mean * runs) / beyondChance > ((square - mean * mean) * runs) / (runs - 1);
}

/** The square of the standard deviations by which a mean change of mere scatter seldom lies off 0. */
const beyondChance = 4;

/**
 * What noise has already made of the value, always to the same side. Extremes grow with the noise, and what adds in squares to
 * nothing does too: b of the record's own noise becomes √(1 + t²) b with t times as much on top, which the record's own
 * hardly disturbs. Of an amount, which has a floor, noise cannot have made more than all of it.
 */
function oneWay({ value, floor }: Measured, from: number, realise: Realise): number {
  const changes: number[] = [];
  for (let run = 0; run < strongRuns; run++) {
    const outcome = realise(from + run, strong);
    if (outcome.measured) changes.push(outcome.value - value);
  }
  if (changes.length === 0) return 0;
  const mean = changes.reduce((sum, each) => sum + each, 0) / changes.length;
  const made = Math.abs(mean) / (Math.hypot(1, strong) - 1);
  return floor !== undefined && mean > 0
    ? Math.min(made * sureOfSide, wholly * value)
    : made * sureOfSide;
}

const strongRuns = 4;
const strong = 3;
/** A known error to one side has to lie within U = 2 u; the rest is left for how well it is known. */
const sureOfSide = 0.85;
/** Of an error that may be all of the value nothing more is unknown. */
const wholly = 0.55;

function change(outcome: Outcome, nominal: Measured): number[] {
  return outcome.measured ? [outcome.value - nominal.value] : [];
}

function rootMeanSquare(values: readonly number[]): number {
  return Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
}
