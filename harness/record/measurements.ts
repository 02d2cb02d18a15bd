import type { ConditionRecord, Finding } from './run-record.ts';

/** One measurement of a condition that was measured several times, as it is stored. */
type Measurement = NonNullable<ConditionRecord['measurements']>[number];

/** What the id of a capture of the second measurement ends in, and of those after it; no id of the first ends so. */
const ending = /\.(\d+)$/;

/** The id of a capture in a measurement, counted from 1. */
export function captureOfMeasurement(id: string, number: number): string {
  return number === 1 ? id : `${id}.${number}`;
}

function numberOf(id: string): number {
  return Number(ending.exec(id)?.[1] ?? 1);
}

/** How often a condition was measured. */
export function timesMeasured({ measurements }: Pick<ConditionRecord, 'measurements'>): number {
  return measurements?.length ?? 1;
}

/** Each measurement of a condition as a condition of its own, in order, as it was judged by itself. Charts are those of the whole. */
export function measurementsOf(condition: ConditionRecord): readonly ConditionRecord[] {
  const { measurements, ...whole } = condition;
  if (!measurements) return [condition];
  return measurements.map((one, place) => ({
    ...whole,
    ...withoutFacts(whole, place === measurements.length - 1),
    ...(whole.commanded && { commanded: whole.commanded }),
    ...one,
    marks: one.marks ?? whole.marks,
    commands: one.commands ?? whole.commands,
    captures: whole.captures.filter(({ id }) => numberOf(id) === place + 1),
    ...(whole.readings && {
      readings: whole.readings.filter(({ capture }) => numberOf(capture) === place + 1),
    }),
  }));
}

/** What a measurement has of its own, or not at all; the last one has what stands in the condition. */
const facts = [
  'selfReports',
  'supply',
  'freshness',
  'switch',
  'ambient',
  'heard',
  'probes',
  'drives',
  'firmwareLog',
] as const;

function withoutFacts(
  whole: Omit<ConditionRecord, 'measurements'>,
  isLast: boolean,
): Omit<ConditionRecord, 'measurements'> {
  if (isLast) return whole;
  const own = { ...whole };
  for (const fact of facts) delete own[fact];
  return own;
}

/**
 * Measurements of one condition as one, with the findings and the ending that they have together. The facts of the last one stand in
 * the condition itself: it decided.
 */
export function withMeasurements(
  all: readonly ConditionRecord[],
  together: Pick<ConditionRecord, 'findings' | 'verdict' | 'reason'>,
): ConditionRecord {
  const [first, last] = [all[0], all.at(-1)];
  if (!first || !last) throw new Error('expected a measurement, found none');
  if (all.length === 1) return { ...last, ...together };
  const readings = all.flatMap((one) => one.readings ?? []);
  return {
    ...last,
    startedAt: first.startedAt,
    captures: all.flatMap(({ captures }) => captures),
    ...(last.readings && { readings }),
    measurements: all.map((one) => stored(one, last)),
    ...together,
  };
}

function stored(one: ConditionRecord, last: ConditionRecord): Measurement {
  const { startedAt, duration, attempts, verdict, reason, findings } = one;
  const ending = { startedAt, duration, attempts, verdict, reason };
  const plain = { ...ending, findings: findings.map(withoutCharts) };
  if (one === last) return plain;
  const isAlike = JSON.stringify(one.commanded) === JSON.stringify(last.commanded);
  const own = facts.flatMap((fact) => (one[fact] === undefined ? [] : [[fact, one[fact]]]));
  return {
    ...ending,
    marks: one.marks,
    commands: one.commands,
    ...(!isAlike && one.commanded && { commanded: one.commanded }),
    ...Object.fromEntries(own),
    findings: plain.findings,
  };
}

function withoutCharts(finding: Finding): Finding {
  return { ...finding, evidence: { charts: [], notes: finding.evidence.notes } };
}

/** Lamp time of all measurements, s. */
export function lampTimeOf({
  duration,
  measurements,
}: Pick<ConditionRecord, 'duration' | 'measurements'>): number {
  if (!measurements) return duration;
  return measurements.reduce((sum, one) => sum + one.duration, 0);
}
