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
 * How many realisations of the noise are computed, and by how much Student's t exceeds the normal distribution's 2 at
 * that number (t for 95.45 %, over 2; JCGM 100:2008 table G.2; computed). The first stages are enough where noise hardly
 * matters.
 */
const stages = [
  { runs: 1, student: 6.9839 },
  { runs: 2, student: 2.2633 },
  { runs: 4, student: 1.4347 },
  { runs: 8, student: 1.1832 },
] as const;

/** Noise below this part of all other contributions is not looked at more closely. */
export const negligible = 0.2;

/**
 * Standard uncertainty from a few realisations of the noise, or why there is none.
 */
export function realisations(
  nominal: Measured,
  enough: (standard: number, runs: number) => boolean,
  compute: (run: number) => Outcome,
): number | NotMeasurable {
  const changes: number[] = [];
  let refused: NotMeasurable | undefined;
  let standard = 0;
  let run = 0;
  for (const { runs, student } of stages) {
    while (changes.length < runs) {
      const outcome = compute(run++);
      if (!outcome.measured) {
        if (refused) return refused;
        refused = outcome;
        continue;
      }
      changes.push(outcome.value - nominal.value);
    }
    standard = sizeOf(changes, student);
    if (enough(standard, runs)) break;
  }
  return standard;
}

/**
 * Standard uncertainty from what more of the same noise changes. Changes that scatter about 0 count by their rms, times
 * Student's factor. Where noise drives the value one way, as it does extremes, its first helping did more than the second
 * does: b becomes √2 b, so that the value is off by 1/(√2 - 1) of the mean change, always to the same side. (Where it adds in
 * squares to a value that is not small, that is too much by at most as much.) Of a mean that scatter explains nothing counts as
 * one way.
 */
function sizeOf(changes: readonly number[], student: number): number {
  const runs = changes.length;
  const mean = changes.reduce((sum, each) => sum + each, 0) / runs;
  const rms = rootMeanSquare(changes);
  if (runs < 2) return rms * student;
  const variance = ((rms * rms - mean * mean) * runs) / (runs - 1);
  const oneWay = Math.sqrt(Math.max(0, mean * mean - variance / runs));
  const scatter = Math.sqrt(rms * rms - oneWay * oneWay);
  return Math.hypot(student * scatter, firstHelping * sureOfSide * oneWay);
}

/** 1 / (√2 - 1) */
const firstHelping = 2.4142;
/** A known error to one side has to lie within U = 2 u and not within u; a third is left for how well it is known. */
const sureOfSide = 0.65;

function change(outcome: Outcome, nominal: Measured): number[] {
  return outcome.measured ? [outcome.value - nominal.value] : [];
}

function rootMeanSquare(values: readonly number[]): number {
  if (values.length === 0) return 0;
  return Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
}
