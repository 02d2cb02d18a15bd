import type { LampFailure } from '../../bench/errors.ts';
import type { Commanded } from '../../measure/observation.ts';
import type { ConditionRecord, Finding, Freshness } from '../../record/run-record.ts';
import { rollUp } from '../../verdict/verdict.ts';
import type { ConditionResult, ConditionTask } from '../engine/lane.ts';
import { answerFindings, lampFailureFinding } from '../judge/direct-findings.ts';
import { judgeCondition } from '../judge/judge-condition.ts';
import { observedCondition } from '../judge/observed-condition.ts';
import { reportFinding } from '../judge/report-finding.ts';
import { requestDigest } from '../judge/request-digest.ts';
import { worstReason } from '../judge/worst-reason.ts';
import { storedFrame, storedWaveform } from '../records/capture-record.ts';
import { storedPass } from '../records/heard-pass.ts';
import type { RecordedColour } from '../records/pass-records.ts';
import { tracksOf } from '../records/probes-of-pass.ts';
import type { Gathered } from './gathered.ts';

/** Why a condition did not come to its end. */
export interface Ending {
  readonly verdict: ConditionRecord['verdict'];
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
  const stored = [
    ...[...records.waveforms, ...records.alongside].map(storedWaveform),
    ...records.frames.map(storedFrame),
  ];
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
    readings: records.colour.map(storedReading),
    ...supplyRecord(gathered.power),
    ...(gathered.selfReports.length > 0 && { selfReports: [...gathered.selfReports] }),
    ...freshnessRecord(gathered.freshness),
    ...switchRecord(gathered.relays),
    ...airRecord(gathered.air),
    commanded: commandedRecord(commanded),
    ...(gathered.heard.length > 0 && { heard: gathered.heard.map(storedPass) }),
    ...(gathered.probes.length > 0 && { probes: [...gathered.probes] }),
    ...(gathered.drives.length > 0 && { drives: [...gathered.drives] }),
    ...(gathered.logged.length > 0 && { firmwareLog: [...gathered.logged] }),
    request: requestDigest(task.condition),
    findings,
  };
  return {
    condition,
    captures: new Map(stored.map(({ record, raw }) => [record.id, raw])),
    ...(gathered.transcripts.length > 0 && { transcripts: gathered.transcripts }),
  };
}

/** Six digits of a spectrum say all that is in it. */
function storedReading({
  spectrum,
  ...reading
}: RecordedColour): NonNullable<ConditionRecord['readings']>[number] {
  if (!spectrum) return reading;
  const { from, step, values } = spectrum;
  const short = Array.from(values, (value) => Number(value.toPrecision(6)));
  return { ...reading, spectrum: { from, step, values: short } };
}

/** Of several passes their readings one after another, each on its own time line. */
function supplyRecord(passes: Gathered['power']): Pick<ConditionRecord, 'supply'> {
  const [first, ...others] = passes.map(({ record }) => record);
  if (!first) return {};
  const readings = [first, ...others].flatMap((record) => record.readings);
  const taken = others.reduce((sum, record) => sum + record.taken, first.taken);
  return { supply: { ...first, readings, taken } };
}

/** One line for each digitiser: what held in every pass. */
function freshnessRecord(passes: Gathered['freshness']): Pick<ConditionRecord, 'freshness'> {
  const kept = new Map<string, Freshness>();
  for (const one of passes)
    if (one.proof === 'not proved' || !kept.has(one.instrument)) kept.set(one.instrument, one);
  return kept.size > 0 ? { freshness: [...kept.values()] } : {};
}

function switchRecord(passes: Gathered['relays']): Pick<ConditionRecord, 'switch'> {
  const [first, ...others] = passes.map(({ record }) => record);
  if (!first) return {};
  return { switch: { ...first, readings: [first, ...others].flatMap(({ readings }) => readings) } };
}

/** Of several passes as of the supply; the shortest soak is the one that counts. */
function airRecord(passes: Gathered['air']): Pick<ConditionRecord, 'ambient'> {
  const records = passes.map(({ record }) => record);
  const [first] = records;
  if (!first) return {};
  const lamp = records.flatMap((record) => record.lamp ?? []);
  return {
    ambient: {
      ...first,
      soaked: Math.min(...records.map(({ soaked }) => soaked)),
      readings: records.flatMap(({ readings }) => readings),
      taken: records.reduce((sum, { taken }) => sum + taken, 0),
      ...(lamp.length > 0 && { lamp }),
    },
  };
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
    selfReports: gathered.selfReports,
    heard: gathered.heard,
    probes: tracksOf(gathered.probes),
  };
  return [
    ...answerFindings(gathered.answers, rig.decision.rule),
    ...gathered.saidOfItself.map((said) => reportFinding(said, rig.decision)),
    ...judgeCondition(condition.criteria, observedCondition(recorded, { rig, lamp }), {
      lamp,
      ...rig.decision,
    }),
  ];
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
