import type { Lamp } from '../bench/lamp.ts';
import type { RawCapture } from '../bench/ports.ts';
import type { Rig } from '../bench/rig.ts';
import type { Commanded, Frame } from '../measure/observation.ts';
import type { Condition } from '../plan/plan.ts';
import type { CaptureRecord, ConditionRecord, Finding } from '../record/run-record.ts';
import type { UnitSymbol } from '../units/unit.ts';
import { rollUp } from '../verdict/verdict.ts';
import { firmwareRuns, lampAnswered } from './direct-findings.ts';
import { judgeCondition } from './judge-condition.ts';
import { calibrationOf, colourCalibration, recordFrom } from './observe-pass.ts';
import { requestDigest } from './request-digest.ts';
import { worstReason } from './run-condition.ts';
import type { Taking } from './take.ts';

/** Lamp and rig as they were when the condition was run. */
export interface JudgeBench {
  readonly lamp: Lamp;
  readonly rig: Rig;
}

/**
 * Holds a stored condition against the criteria of a spec as it is now. `codes` are the raw codes of its captures, in
 * the record's order. What the lamp answered was judged then and stands; a condition that the bench, or the firmware,
 * did not see through has nothing to judge and stays as it was.
 */
export function rejudgeCondition(
  stored: ConditionRecord,
  condition: Condition,
  codes: readonly RawCapture['codes'][],
  { lamp, rig }: JudgeBench,
): ConditionRecord {
  if (!wasJudged(stored)) return stored;
  const waveforms = stored.captures.flatMap((capture, index) =>
    capture.signal === 'frame' ? [] : [{ capture, taking: takingOf(capture, codes[index]!, rig) }],
  );
  const colour = (stored.readings ?? []).map((reading) => ({ ...reading, capture: 'colour' }));
  const evidence = {
    records: waveforms.map(({ capture, taking }) => recordFrom(taking, { file: capture.file })),
    colour,
    frames: stored.captures.flatMap((capture, index) =>
      capture.frame ? [frameOf(capture, capture.frame, codes[index]!)] : [],
    ),
    commanded: commandedOf(stored, lamp),
    calibration: [
      ...waveforms.map(({ capture, taking }) => calibrationOf(taking, capture, rig)),
      ...colourCalibration(colour, rig),
    ],
  };
  const { rule, coverageFactor } = rig.decision;
  const findings = [
    ...stored.findings.filter(({ metric }) => metric === lampAnswered),
    ...judgeCondition(condition.criteria, evidence, { lamp, rule, coverageFactor }),
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

function takingOf(capture: CaptureRecord, codes: RawCapture['codes'], rig: Rig): Taking {
  const { signal, of, instrument, input, scale, offset, rate, start, taken } = capture;
  const wires = rig.wiring.filter(
    (one) => one.signal === signal && one.instrument === instrument && one.input === input,
  );
  // An input that serves several channels may be calibrated for each.
  const wire = wires.find((one) => one.of === of) ?? wires[0];
  if (!wire) throw new Error(`rig ${rig.rig} has no wire for ${signal} on ${instrument} ${input}`);
  const raw: RawCapture = {
    input,
    codes,
    scale,
    offset,
    unit: capture.unit as UnitSymbol,
    lowest: capture.lowest ?? Number.NEGATIVE_INFINITY,
    highest: capture.highest ?? Number.POSITIVE_INFINITY,
    rate,
    start,
  };
  const request = { signal: wire.signal, of };
  return { route: { request, signal: wire.signal, of, wire, taken }, raw };
}

function frameOf(
  { file, start, clipped }: CaptureRecord,
  { lineTime, exposure }: NonNullable<CaptureRecord['frame']>,
  rows: RawCapture['codes'],
): Frame {
  const saturated = clipped > 0;
  return { capture: file, at: start, rows: Float64Array.from(rows), lineTime, exposure, saturated };
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
  const known = standardInstant > 0 ? { standardInstant } : {};
  return { channels, marks, duration: end, curve: lamp.curve, ...known };
}
