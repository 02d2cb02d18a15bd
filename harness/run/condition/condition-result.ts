import type { LampFailure } from '../../bench/errors.ts';
import type { Commanded } from '../../measure/observation.ts';
import type { ConditionRecord, Finding } from '../../record/run-record.ts';
import { rollUp, type Verdict } from '../../verdict/verdict.ts';
import type { ConditionResult, ConditionTask } from '../engine/lane.ts';
import { answerFindings, lampFailureFinding } from '../judge/direct-findings.ts';
import { judgeCondition } from '../judge/judge-condition.ts';
import { observedCondition } from '../judge/observed-condition.ts';
import { requestDigest } from '../judge/request-digest.ts';
import { storedFrame, storedWaveform } from '../records/capture-record.ts';
import type { Gathered } from './gathered.ts';

/** Why a condition did not come to its end. */
export interface Ending {
  readonly verdict: Verdict;
  readonly reason: string;
  readonly lampFailure?: LampFailure;
}

/** Judges what was gathered and writes it down; `ending` is null when the condition came to its end. */
export function conditionResult(
  task: ConditionTask,
  base: { readonly startedAt: string; readonly duration: number },
  gathered: Gathered,
  ending: Ending | null,
): ConditionResult {
  const { records, commands, commanded } = gathered;
  const stored = [...records.waveforms.map(storedWaveform), ...records.frames.map(storedFrame)];
  const findings = ending ? endingFindings(ending) : findingsOf(task, gathered);
  const verdict = ending?.verdict ?? rollUp(findings.map((finding) => finding.verdict));
  const condition: ConditionRecord = {
    key: task.condition.key,
    values: { ...task.condition.values },
    repeat: task.repeat,
    verdict,
    reason: ending?.reason ?? worstReason(findings, verdict),
    startedAt: base.startedAt,
    duration: base.duration,
    attempts: 1,
    marks: (commanded?.marks ?? []).map((mark) => ({ ...mark })),
    commands,
    captures: stored.map(({ record }) => record),
    readings: records.colour.map((reading) => ({ ...reading })),
    ...supplyRecord(gathered.power),
    commanded: commandedRecord(commanded),
    request: requestDigest(task.condition),
    findings,
  };
  return { condition, captures: new Map(stored.map(({ record, raw }) => [record.id, raw])) };
}

/** Of several passes their readings one after another, each on its own time line. */
function supplyRecord(passes: Gathered['power']): Pick<ConditionRecord, 'supply'> {
  const [first, ...others] = passes.map(({ record }) => record);
  if (!first) return {};
  const readings = [first, ...others].flatMap((record) => record.readings);
  const taken = others.reduce((sum, record) => sum + record.taken, first.taken);
  return { supply: { ...first, readings, taken } };
}

function endingFindings({ lampFailure }: Ending): Finding[] {
  return lampFailure ? [lampFailureFinding(lampFailure)] : [];
}

function findingsOf({ lamp, rig, condition }: ConditionTask, gathered: Gathered): Finding[] {
  const { waveforms, colour, frames } = gathered.records;
  const nothing: Commanded = { channels: [], marks: [], duration: 0, curve: lamp.curve };
  const recorded = {
    waveforms,
    colour,
    frames: frames.map(({ frame }) => frame),
    commanded: gathered.commanded ?? nothing,
  };
  return [
    ...answerFindings(gathered.answers, rig.decision.rule),
    ...judgeCondition(condition.criteria, observedCondition(recorded, { rig, lamp }), {
      lamp,
      ...rig.decision,
    }),
  ];
}

export function worstReason(findings: readonly Finding[], verdict: Verdict): string | null {
  return findings.find((finding) => finding.verdict === verdict)?.reason ?? null;
}

function commandedRecord(commanded: Commanded | null): NonNullable<ConditionRecord['commanded']> {
  return (commanded?.channels ?? []).map(({ channel, segments }) => ({
    channel,
    segments: segments.map(({ from, to, startLevel, endLevel }) => [
      from,
      to,
      startLevel,
      endLevel,
    ]),
  }));
}
