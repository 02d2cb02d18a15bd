/** One measurement of a check standard. */
export interface StandardPoint {
  /** ISO 8601 UTC. */
  readonly at: string;
  readonly value: number;
  /** Standard uncertainty of the mean that it is, k = 1, in the same unit. */
  readonly standard: number;
}

/** A rule of the chart that a point broke. */
type StandardRule = 'beyond 3 s' | '2 of 3 beyond 2 s';

export interface JudgedStandard extends StandardPoint {
  /** What it was held against; null while there were too few points before it. */
  readonly limits: StandardLimits | null;
  readonly rule: StandardRule | null;
}

interface StandardLimits {
  readonly centre: number;
  /** Standard deviation of the baseline. */
  readonly deviation: number;
  /** Half-widths about the centre: of 2 s and of 3 s, wider where the baseline is short. */
  readonly warning: number;
  readonly action: number;
  /** Points that they rest on. */
  readonly baseline: number;
}

/** Fewer points give limits that are mostly luck; more than this would let a drift hide itself. Common practice, no source. */
export const fewestBaseline = 8;
const mostBaseline = 20;

/**
 * Holds each measurement of a check standard against those before it: mean ± 3 s of the first good ones (8 to 20), and two of three
 * in a row beyond mean ± 2 s on the same side. `s` is never less than a measurement's own uncertainty. Points that broke a rule are in
 * no baseline. A short baseline does not know its own s well, nor its mean: in place of 2 and 3 stand Student's factors of the same
 * probability, times √(1 + 1/n), so that a sound bench is stopped no more often than by the limits of a long one.
 * Source: ISO 7870-2, Shewhart charts and tests for special causes (from memory); JCGM 100:2008, G.3 for Student's factor.
 */
export function standardChart(points: readonly StandardPoint[]): readonly JudgedStandard[] {
  const judged: JudgedStandard[] = [];
  const good: StandardPoint[] = [];
  for (const point of points) {
    const limits = limitsFrom(good.slice(0, mostBaseline), point);
    const rule = limits ? brokenRule(point, judged, limits) : null;
    judged.push({ ...point, limits, rule });
    if (rule === null) good.push(point);
  }
  return judged;
}

function limitsFrom(
  baseline: readonly StandardPoint[],
  { standard }: StandardPoint,
): StandardLimits | null {
  const count = baseline.length;
  if (count < fewestBaseline) return null;
  const centre = baseline.reduce((sum, { value }) => sum + value, 0) / count;
  const squares = baseline.reduce((sum, { value }) => sum + (value - centre) ** 2, 0);
  const deviation = Math.max(Math.sqrt(squares / (count - 1)), standard);
  const wider = Math.sqrt(1 + 1 / count);
  return {
    centre,
    deviation,
    warning: studentFor(2, count - 1) * wider * deviation,
    action: studentFor(3, count - 1) * wider * deviation,
    baseline: count,
  };
}

function brokenRule(
  { value }: StandardPoint,
  before: readonly JudgedStandard[],
  { centre, warning, action }: StandardLimits,
): StandardRule | null {
  const off = value - centre;
  if (Math.abs(off) > action) return 'beyond 3 s';
  if (Math.abs(off) <= warning) return null;
  const others = before
    .slice(-2)
    .filter((other) => Math.abs(other.value - centre) > warning)
    .filter((other) => Math.sign(other.value - centre) === Math.sign(off));
  return others.length > 0 ? '2 of 3 beyond 2 s' : null;
}

/**
 * Student's t of the probability that `z` has in a normal distribution. Source: Abramowitz & Stegun 26.7.5 (expansion about the
 * normal quantile; from memory), good to 1 % from 7 degrees of freedom on.
 */
export function studentFor(z: number, degrees: number): number {
  const terms = [
    (z ** 3 + z) / 4,
    (5 * z ** 5 + 16 * z ** 3 + 3 * z) / 96,
    (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / 384,
    (79 * z ** 9 + 776 * z ** 7 + 1482 * z ** 5 - 1920 * z ** 3 - 945 * z) / 92_160,
  ];
  return terms.reduce((sum, term, index) => sum + term / degrees ** (index + 1), z);
}
