import { isDeepStrictEqual } from 'node:util';
import type { Lamp } from '../../bench/lamp.ts';
import type { WaveformFile } from '../../files/waveform-file.ts';
import type { Metric } from '../../measure/metric.ts';
import { findMetric } from '../../measure/metrics.ts';
import type { Commanded } from '../../measure/observation.ts';
import type { Condition, Criterion, Plan } from '../../plan/plan.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import { allSteps, verbOf } from '../../plan/verbs/verbs.ts';
import { namesCondition } from '../../record/condition-words.ts';
import type { Finding } from '../../record/run-record.ts';
import { judgeCondition } from '../../run/judge/judge-condition.ts';
import { rollUp, type Verdict } from '../../verdict/verdict.ts';
import { type TimeLine, timeLine } from './file-time-line.ts';
import { type MeasuredColumn, recordsFor } from './measure-columns.ts';
import { readsWaveforms, type Scene } from './measure-metric.ts';
import type { StatedStimulus } from './stated-stimulus.ts';
import { windowLack } from './window-lack.ts';

/** A claim, and what a file says of it. */
export interface HeldClaim {
  readonly plan: Plan;
  /** Key of the condition that it was held against; empty where all are judged alike, null where none could be held. */
  readonly condition: string | null;
  readonly verdict: Verdict;
  /** Why the claim was not judged at all. */
  readonly reason: string | null;
  readonly findings: readonly Finding[];
  /** Answers of the lamp that its stimulus judges, which no file holds. */
  readonly unheard: number;
}

/** What a claim is held against. */
interface Held {
  readonly file: WaveformFile;
  readonly scene: Scene;
  readonly lamp: Lamp;
  readonly stated: StatedStimulus;
  /** The condition that the file is of, as a person names it. */
  readonly condition: string | undefined;
}

/**
 * Judges the criteria of one condition on the columns of a file, by the guarded rule. What the file cannot show, or nobody
 * said of it, is `not run` with the reason: it is neither the lamp's nor the bench's.
 */
export function holdAgainstClaim(plan: Plan, held: Held): HeldClaim {
  const unmet = unmetNeed(plan.needs, held.lamp);
  const bare = { plan, condition: null, findings: [], unheard: 0 };
  if (unmet !== null) return { ...bare, verdict: 'not applicable', reason: unmet };
  const condition = conditionOf(plan, held);
  if (typeof condition === 'string') return { ...bare, verdict: 'not run', reason: condition };
  const line = timeLine(condition, held);
  const findings = condition.criteria.flatMap((criterion) => findingsOf(criterion, line, held));
  const unheard = allSteps(condition.stimulus).filter((step) => verbOf(step).judges?.(step)).length;
  const verdicts = findings.map((finding) => finding.verdict);
  const verdict = rollUp(unheard === 0 ? verdicts : [...verdicts, 'not run']);
  return { plan, condition: condition.key, verdict, reason: null, findings, unheard };
}

/** The one condition that the file can be of, or why there is none. */
function conditionOf(plan: Plan, { condition, stated }: Held): Condition | string {
  const { conditions } = plan;
  const named =
    condition === undefined
      ? conditions
      : conditions.filter(({ key }) => namesCondition(condition, key));
  const [first, ...others] = named;
  if (!first)
    return condition === undefined
      ? 'this lamp has none of its conditions'
      : `it has no condition "${condition}"`;
  const sameCriteria = others.every(({ criteria }) => isDeepStrictEqual(criteria, first.criteria));
  if (others.length === 0) return first;
  if (stated.kind === 'parts' && sameCriteria) return { ...first, key: '' };
  return `${named.length} conditions could be meant: name the file's with --condition, as in --condition "${first.key}"`;
}

function findingsOf(criterion: Criterion, line: TimeLine, held: Held): Finding[] {
  const lack = lackOf(criterion, line);
  line.forgetReads();
  const findings = judgedWith(line.commanded, criterion, lack === null ? line.subjects : [], held);
  const isGuess =
    lack === null && line.readUnsaid() ? guessed(findings, criterion, line, held) : [];
  return findings.map((finding, place) => {
    const why = lack ?? missingColumn(finding, line) ?? (isGuess[place] ? unsaidCommand : null);
    return why === null ? finding : notJudged(finding, why);
  });
}

function judgedWith(
  commanded: Commanded,
  criterion: Criterion,
  subjects: readonly MeasuredColumn[],
  { scene, lamp }: Held,
): Finding[] {
  const records = recordsFor(metricOf(criterion), subjects);
  const observed = {
    records,
    colour: [],
    frames: [],
    commanded,
    selfReports: [],
    probes: [],
    modelled: () => null,
    calibration: records.map((record) => scene.calibration(record)),
  };
  const setup = { lamp, rule: 'guarded', coverageFactor: scene.coverageFactor } as const;
  return judgeCondition([criterion], observed, setup);
}

/**
 * Which findings would be others if something had been commanded. A ratio of the light in two windows is the same at whatever
 * level the lamp was to stand still; its error is not.
 */
function guessed(
  findings: readonly Finding[],
  criterion: Criterion,
  line: TimeLine,
  held: Held,
): readonly boolean[] {
  const others = [1, 0.5].map((level) =>
    judgedWith(line.steadyAt(level), criterion, line.subjects, held),
  );
  return findings.map(({ outcome }, place) =>
    others.some((other) => !isDeepStrictEqual(other[place]?.outcome, outcome) || !outcome.measured),
  );
}

function metricOf({ metric }: Criterion): Metric {
  const found = findMetric(metric);
  // The spec was read against the same registry; an unknown name cannot come this far.
  if (!found) throw new Error(`no metric ${metric}`);
  return found;
}

const unsaidCommand =
  'it reads the light that was commanded: say when the stimulus began (--begin), or the fade (--from, --to, --over, --at)';

/** What nobody said, or no file of waveforms can hold. */
function lackOf(criterion: Criterion, line: TimeLine): string | null {
  const metric = metricOf(criterion);
  if (metric.needs.model) return 'it reads what was sent to the lamp, which no recorded file holds';
  if (!readsWaveforms(metric))
    return `a waveform file holds no ${metric.needs.signals.join(' and no ') || 'answers of a lamp'}`;
  if (metric.needs.fade && line.isUnsaid) return unsaidCommand;
  return windowLack(criterion, line);
}

function missingColumn({ outcome, of }: Finding, { subjects }: TimeLine): string | null {
  if (outcome.measured || outcome.reason !== 'no-record') return null;
  const names = subjects.map((subject) => `"${subject.of}"`).join(', ');
  const note = typeof outcome.note === 'string' ? `: ${outcome.note}` : '';
  const whose = of === 'lamp' || note !== '' ? '' : ` of ${of}`;
  return `the file does not hold its record${whose}${note} (its columns are ${names})`;
}

function notJudged(finding: Finding, reason: string): Finding {
  return {
    ...finding,
    outcome: { measured: false, reason: 'no-record' },
    uncertainty: null,
    captures: [],
    verdict: 'not run',
    reason,
    evidence: { charts: [], notes: {} },
  };
}
