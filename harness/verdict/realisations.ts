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
    standard = sizeOf(changes, nominal.value) * student;
    if (enough(standard, runs)) break;
  }
  return standard;
}

/**
 * rms error that noise makes, from what more of the same noise changes. Where noise adds in squares to the value, the first
 * helping of it did more than the second does: v² = t² + b² becomes t² + 2 b², so that v is too high by v - √(2 v² - v'²),
 * by all of v where t is nothing.
 */
function sizeOf(changes: readonly number[], value: number): number {
  const mean = changes.reduce((sum, each) => sum + each, 0) / changes.length;
  const rms = rootMeanSquare(changes);
  if (!(mean > 0) || !(value > 0)) return rms;
  const bias = value - Math.sqrt(Math.max(0, 2 * value * value - (value + mean) ** 2));
  return Math.sqrt(Math.max(0, rms * rms - mean * mean) + Math.max(mean, bias) ** 2);
}

function change(outcome: Outcome, nominal: Measured): number[] {
  return outcome.measured ? [outcome.value - nominal.value] : [];
}

function rootMeanSquare(values: readonly number[]): number {
  if (values.length === 0) return 0;
  return Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
}
