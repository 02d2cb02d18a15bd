import { judge } from '../verdict/judge.ts';
import { rollUp, severity, type Verdict, verdictOfRun } from '../verdict/verdict.ts';
import { benchBrokenText, benchesAfter } from './bench-after.ts';
import { claimCondition } from './condition-words.ts';
import { timesMeasured } from './measurements.ts';
import type { RunRecord, SpecRecord } from './run-record.ts';
import { totalsOf } from './totals.ts';

type ConditionRecord = SpecRecord['conditions'][number];
type Finding = ConditionRecord['findings'][number];

/** More contradictions than this are one repeated. */
const most = 20;

/**
 * What a record says of itself that does not follow from its own figures: a finding that passes although its value and
 * uncertainty do not, a condition, claim or run that is better than its parts, totals that were not counted. Sentences; none of a
 * record that Evenfall wrote.
 */
export function contradictionsOf(record: RunRecord): readonly string[] {
  const found = [
    ...record.specs.flatMap(ofSpec),
    ...betterThan('the run', record.verdict, verdictOfRun(judged(record))),
    ...ofBenchAfter(record),
    ...ofTotals(record),
    ...ofRig(record),
    ...ofTimes(record),
  ];
  return found.slice(0, most);
}

/** A bench is no realer than its instruments. */
function ofRig({ rig: { simulated, instruments } }: RunRecord): string[] {
  const all = instruments.length > 0 && instruments.every((instrument) => instrument.simulated);
  const posing = instruments.find((one) => one.driver === 'plant' && !one.simulated);
  return [
    ...(all && !simulated
      ? ['the rig says it is real, but all its instruments are simulated']
      : []),
    ...(posing
      ? [`the instrument ${posing.name} says it is real, but belongs to the simulated lamp`]
      : []),
  ];
}

/** A bench that was not good makes the whole an error, and its own checks say whether it was. */
function ofBenchAfter(record: RunRecord): string[] {
  const unsaid = record.verdict !== 'error' && benchBrokenText(record) !== null;
  const better = benchesAfter(record).filter(
    ({ after }) => after.state === 'good' && after.checks.some(({ result }) => result === 'broken'),
  );
  return [
    ...(unsaid
      ? [`the run says ${record.verdict}, but its bench was not good after the last claim`]
      : []),
    ...better.map(
      ({ rig }) => `the bench ${rig} says it was good after the last claim, but its checks do not`,
    ),
  ];
}

function ofTimes({ startedAt, endedAt }: RunRecord): string[] {
  return endedAt !== null && Date.parse(endedAt) < Date.parse(startedAt)
    ? [`the run ended at ${endedAt}, before it began at ${startedAt}`]
    : [];
}

/** What was left out of a run on purpose does not make it worse. */
function judged({ specs }: RunRecord): readonly SpecRecord[] {
  return specs.filter(({ verdict }) => verdict !== 'not run');
}

function ofSpec({ spec, verdict, conditions }: SpecRecord): string[] {
  const parts = conditions.map((condition) => condition.verdict);
  return [
    ...conditions.flatMap((condition) => ofCondition(spec, condition)),
    ...(verdict === 'not applicable' && parts.length === 0
      ? []
      : betterThan(`the claim ${spec}`, verdict, rollUp(parts))),
  ];
}

function ofCondition(spec: string, condition: ConditionRecord): string[] {
  const { key, verdict, findings } = condition;
  const where = claimCondition(spec, key);
  const captures = new Set([
    ...condition.captures.map(({ id }) => id),
    ...(condition.readings ?? []).map(({ capture }) => capture),
  ]);
  return [
    ...findings.flatMap((finding) => ofEvidence(where, finding, captures)),
    ...findings.flatMap((finding) => ofFinding(where, finding)),
    ...findings.flatMap((finding) => ofRepeated(where, finding, timesMeasured(condition))),
    ...betterThan(`the condition ${where}`, verdict, rollUp(findings.map((one) => one.verdict))),
  ];
}

function ofFinding(where: string, { metric, of, outcome, ...finding }: Finding): string[] {
  if (finding.verdict !== 'pass') return [];
  const what = `${metric} of ${of} in ${where}`;
  if (!outcome.measured) return [`${what} passes, but was not measured`];
  const { limits, rule, uncertainty } = finding;
  const { expanded = 0, floor } = uncertainty ?? {};
  const { verdict } = judge(outcome.value, expanded, limits, rule, floor);
  return verdict === 'pass' ? [] : [`${what} passes, but its figures say ${verdict}`];
}

/** Every measurement counts: a mean is that of all of them. */
function ofRepeated(
  where: string,
  { metric, of, outcome, repeated }: Finding,
  times: number,
): string[] {
  if (!repeated) return [];
  const what = `${metric} of ${of} in ${where}`;
  const { by, values } = repeated;
  if (values.length > times)
    return [`${what} is of ${values.length} measurements, but ${times} are recorded`];
  if (by === 'worst') return [];
  const known = values.flatMap((value) => (value === null ? [] : [value]));
  const mean = known.reduce((sum, value) => sum + value, 0) / known.length;
  const largest = Math.max(...known.map(Math.abs));
  const isMean = outcome.measured && Math.abs(outcome.value - mean) <= rounding * largest;
  return isMean && known.length === values.length
    ? []
    : [`${what} says it is the mean of ${values.length} measurements, but these do not come to it`];
}

/** Of a sum that was made in another order. */
const rounding = 1e-9;

/** A finding rests on captures of its own condition. */
function ofEvidence(where: string, finding: Finding, captures: ReadonlySet<string>): string[] {
  const lost = finding.captures.filter((id) => !captures.has(id));
  return lost.map(
    (id) =>
      `${finding.metric} of ${finding.of} in ${where} rests on the capture ${id}, which is not there`,
  );
}

/** A whole may be worse than its parts (a bench error outranks them), and never better. */
function betterThan(what: string, verdict: Verdict, parts: Verdict): string[] {
  if (severity.indexOf(verdict) <= severity.indexOf(parts)) return [];
  return [`${what} says ${verdict}, but its parts say ${parts}`];
}

function ofTotals({ specs, totals }: RunRecord): string[] {
  const counted = totalsOf(specs, totals.wallTime);
  return (['claims', 'findings'] as const).flatMap((kind) =>
    severity.flatMap((verdict) => {
      const [said = 0, is = 0] = [totals[kind][verdict], counted[kind][verdict]];
      return said === is
        ? []
        : [`the totals say ${said} ${kind} of ${verdict}, but there are ${is}`];
    }),
  );
}
