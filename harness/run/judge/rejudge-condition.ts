import type { Lamp } from '../../bench/lamp.ts';
import type { RawCapture } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import type { CaptureId, Commanded } from '../../measure/observation.ts';
import type { Condition } from '../../plan/plan.ts';
import { measurementsOf } from '../../record/measurements.ts';
import type { CaptureRecord, ConditionRecord, Finding } from '../../record/run-record.ts';
import type { Looks } from '../../verdict/looks.ts';
import { rollUp } from '../../verdict/verdict.ts';
import { frameFrom, waveformFrom } from '../records/capture-record.ts';
import { passFrom } from '../records/heard-pass.ts';
import { tracksOf } from '../records/probes-of-pass.ts';
import { firmwareRuns, lampAnswered } from './direct-findings.ts';
import { judgeCondition } from './judge-condition.ts';
import { observedCondition } from './observed-condition.ts';
import { repeatedCondition } from './repeated-condition.ts';
import { requestDigest } from './request-digest.ts';
import { worstReason } from './worst-reason.ts';

/** Lamp and rig as they were when the condition was run. */
export interface JudgeBench {
  readonly lamp: Lamp;
  readonly rig: Rig;
}

/** As `rejudgeMeasurement`, of each measurement that was made of it; they are combined as they were in its run (`looks`). */
export function rejudgeCondition(
  stored: ConditionRecord,
  condition: Condition,
  codes: ReadonlyMap<CaptureId, RawCapture['codes']>,
  { looks = null, ...bench }: JudgeBench & { readonly looks?: Looks | null },
): ConditionRecord {
  const judged = measurementsOf(stored).map((one) =>
    rejudgeMeasurement(one, condition, codes, bench),
  );
  const [only] = judged;
  if (looks === null) return only ?? stored;
  return repeatedCondition(judged, looks);
}

/**
 * Holds a stored measurement of a condition against the criteria of a spec as it is now. `codes` are the raw codes of its captures, by
 * their ids. What the lamp answered was judged then and stands; a condition that the bench, or the firmware,
 * did not see through has nothing to judge and stays as it was.
 */
function rejudgeMeasurement(
  stored: ConditionRecord,
  condition: Condition,
  codes: ReadonlyMap<CaptureId, RawCapture['codes']>,
  { lamp, rig }: JudgeBench,
): ConditionRecord {
  if (!wasJudged(stored)) return stored;
  const recorded = {
    waveforms: stored.captures.flatMap((capture) =>
      capture.frame || capture.taken === 'alongside'
        ? []
        : [waveformFrom(capture, codesOf(capture, codes), rig)],
    ),
    // Judged by its tristimulus values, as it was then.
    colour: (stored.readings ?? []).map(({ spectrum: _, ...reading }) => reading),
    frames: stored.captures.flatMap((capture) => frameFrom(capture, codesOf(capture, codes)) ?? []),
    commanded: commandedOf(stored, lamp),
    selfReports: stored.selfReports ?? [],
    heard: (stored.heard ?? []).map(passFrom),
    probes: tracksOf(stored.probes ?? []),
  };
  const observed = observedCondition(recorded, { lamp, rig });
  const findings = [
    ...stored.findings.filter(({ metric }) => metric === lampAnswered),
    ...judgeCondition(condition.criteria, observed, { lamp, ...rig.decision }),
  ];
  const verdict = rollUp(findings.map((finding) => finding.verdict));
  return { ...stored, findings, verdict, reason: worstReason(findings, verdict) };
}

/** Why a stored condition cannot be held against this one: it was asked for something else. Null when it can. */
export function requestChange(stored: ConditionRecord, condition: Condition): string | null {
  if (!wasJudged(stored)) return null;
  if (!stored.request) return 'the run does not tell what stimulus and captures it was made with';
  const now = requestDigest(condition);
  if (stored.request.stimulus !== now.stimulus) return 'its stimulus has been changed';
  if (stored.request.captures !== now.captures) return 'its captures have been changed';
  return null;
}

function wasJudged({ findings }: { readonly findings: readonly Finding[] }): boolean {
  return findings.length > 0 && findings.every(({ metric }) => metric !== firmwareRuns);
}

function codesOf(
  { id }: CaptureRecord,
  codes: ReadonlyMap<CaptureId, RawCapture['codes']>,
): RawCapture['codes'] {
  const own = codes.get(id);
  if (own) return own;
  throw new Error(`expected the codes of every capture, found none of ${id}`);
}

/** The story that was stored, completed by what the lamp file says of each channel. */
function commandedOf(
  { commanded = [], marks, duration, commands, captures }: ConditionRecord,
  lamp: Lamp,
): Commanded {
  const channels = commanded.flatMap(({ channel, segments }) => {
    const own = lamp.channels.find((candidate) => candidate.channel === channel);
    if (!own) return [];
    const { lumen, xy, maxCurrent } = own;
    const told = segments.map(([from, to, startLevel, endLevel]) => ({
      from,
      to,
      startLevel,
      endLevel,
    }));
    return [{ channel, lumen, xy, maxCurrent, segments: told }];
  });
  // On a bench the stimulus may have ended later than planned; the story ends when it ended.
  const end = channels[0]?.segments.at(-1)?.to ?? duration;
  const standardInstant = Math.hypot(
    Math.max(0, ...commands.map((command) => command.standardInstant ?? 0)),
    Math.max(0, ...captures.map((capture) => capture.standardStart ?? 0)),
  );
  const supplyChanges = commands.flatMap(({ verb, left, confirmed }) =>
    verb === 'supply' && left !== undefined && confirmed !== undefined
      ? [{ from: left, to: confirmed }]
      : [],
  );
  const known = {
    ...(standardInstant > 0 && { standardInstant }),
    ...(supplyChanges.length > 0 && { supplyChanges }),
  };
  return { channels, marks, duration: end, curve: lamp.curve, ...known };
}
