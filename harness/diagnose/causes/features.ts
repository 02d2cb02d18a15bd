import type { Finding, RunRecord } from '../../record/run-record.ts';

/**
 * What of each claim does not pass, and how badly: by claim and feature (condition, metric, window and place among the findings), from
 * -1 (far below its limit) to 1 (far above it). Channels are one feature, so that lamps with others can be compared.
 */
type RunFeatures = ReadonlyMap<string, ReadonlyMap<string, number>>;

/** Features of every claim of which a finding was judged; a claim of which all pass has none. */
export function featuresOf({ specs, lamp }: Pick<RunRecord, 'specs' | 'lamp'>): RunFeatures {
  const channels = new Set(lamp.channels.map(({ channel }) => channel));
  const claims = new Map<string, ReadonlyMap<string, number>>();
  for (const { spec, conditions } of specs) {
    const own = new Map<string, number[]>();
    for (const { key, findings } of conditions) addFindings(own, key, findings, channels);
    if (own.size === 0) continue;
    const means = [...own].map(([name, strengths]): [string, number] => [name, joint(strengths)]);
    claims.set(spec, new Map(means.filter(([, strength]) => strength !== 0)));
  }
  return claims;
}

function addFindings(
  features: Map<string, number[]>,
  key: string,
  findings: readonly Finding[],
  channels: ReadonlySet<string>,
): void {
  const seen = new Map<string, number>();
  for (const finding of findings) {
    const strength = strengthOf(finding);
    if (strength === null) continue;
    const of = channels.has(finding.of) ? 'channel' : finding.of;
    const place = [key, finding.metric, finding.during ?? '', of].join('\t');
    // Answers of one condition are told apart by their order.
    const count = `${place}\t${finding.of}`;
    const ordinal = seen.get(count) ?? 0;
    seen.set(count, ordinal + 1);
    const name = `${place}\t${ordinal}`;
    features.set(name, [...(features.get(name) ?? []), strength]);
  }
}

/** An undecided finding is half a word. */
const undecided = 0.3;
/** What is just out of tolerance; what is out by the whole tolerance has twice as much, and so on by doublings, up to 1. */
const justOut = 0.4;
const perDoubling = 0.2;

/** Null where nothing was judged. */
function strengthOf({ verdict, outcome, limits }: Finding): number | null {
  if (verdict === 'pass') return 0;
  if (verdict !== 'fail' && verdict !== 'inconclusive') return null;
  const { lower, upper } = limits;
  if (!outcome.measured) return verdict === 'fail' ? 1 : undecided;
  const { value } = outcome;
  const below = lower !== null && (upper === null || value < (lower + upper) / 2);
  const sign = below ? -1 : 1;
  if (verdict === 'inconclusive') return sign * undecided;
  const limit = (below ? lower : upper) ?? 0;
  const scale =
    lower !== null && upper !== null && upper > lower ? (upper - lower) / 2 : Math.abs(limit);
  const beyond = Math.abs(value - limit) / (scale || 1);
  return sign * Math.min(1, justOut + perDoubling * Math.log2(1 + beyond));
}

/** One strength for several channels: some that are above and others that are below do not make a pass. */
function joint(strengths: readonly number[]): number {
  const sum = strengths.reduce((total, strength) => total + strength, 0);
  const size = strengths.reduce((total, strength) => total + Math.abs(strength), 0);
  return (sum < 0 ? -size : size) / strengths.length;
}
