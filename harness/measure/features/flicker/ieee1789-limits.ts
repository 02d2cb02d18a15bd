/** The two recommended practices of IEEE Std 1789-2015 (clause 8, from memory; consistent at their end points). */
export type Practice = 'low-risk' | 'no-effect';

interface Slopes {
  /** Modulation per Hz below and from 90 Hz on. */
  readonly below: number;
  readonly above: number;
  /** From here on there is no limit, Hz. */
  readonly end: number;
}

const slopes: Readonly<Record<Practice, Slopes>> = {
  'low-risk': { below: 0.025e-2, above: 0.08e-2, end: 1250 },
  'no-effect': { below: 0.01e-2, above: 0.0333e-2, end: 3000 },
};

/** The slopes change here; 90 Hz itself belongs to the upper branch. */
const corner = 90;

/** Highest frequency that the practice limits, Hz. */
export function ieee1789End(practice: Practice): number {
  return slopes[practice].end;
}

/** Largest modulation (ratio) that the practice accepts at a frequency, Hz; Infinity above its band. */
export function ieee1789Limit(practice: Practice, frequency: number): number {
  const { below, above, end } = slopes[practice];
  if (frequency > end) return Infinity;
  return frequency * (frequency < corner ? below : above);
}
