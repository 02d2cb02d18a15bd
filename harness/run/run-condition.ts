import { BenchError, LampFailure } from '../bench/errors.ts';
import type { OpenBench, RawCapture } from '../bench/ports.ts';
import type { ColourReading } from '../measure/observation.ts';
import { CommandedLight } from '../plan/commanded.ts';
import { rigLacks } from '../plan/rig-lacks.ts';
import { type Pass, routeCaptures } from '../plan/routing.ts';
import { type Schedule, schedule } from '../plan/schedule.ts';
import type {
  CaptureRecord,
  CommandRecord,
  ConditionRecord,
  Finding,
} from '../record/run-record.ts';
import { rollUp, type Verdict } from '../verdict/verdict.ts';
import { answerFindings, lampFailureFinding } from './direct-findings.ts';
import { judgeCondition } from './judge-condition.ts';
import type { ConditionResult, ConditionTask } from './lane.ts';
import {
  calibrationOf,
  clippedIn,
  colourCalibration,
  type Evidenced,
  recordFrom,
} from './observe-pass.ts';
import { passDeviation } from './pass-deviation.ts';
import { powerUp } from './power-up.ts';
import { requestDigest } from './request-digest.ts';
import { type Answer, now, perform, type StimulusContext, until } from './stimulus.ts';
import { planTaking, type Taking, type Takings } from './take.ts';

/** Opens a bench for one pass; the plant makes a fresh lamp, a rig hands out its instruments again. */
export type Opener = () => Promise<OpenBench>;

interface Gathered {
  readonly takings: Taking[];
  readonly colour: ColourReading[];
  readonly frames: Takings['frames'][number][];
  readonly commands: CommandRecord[];
  readonly answers: Answer[];
  commanded: Evidenced['commanded'] | null;
}

/**
 * Carries out one condition: power, stimulus, records, verdicts. A BenchError ends it as `error`, a LampFailure as
 * `fail`; whatever was recorded until then is kept. Other errors are ours and are thrown on.
 */
export async function runCondition(
  task: ConditionTask,
  open: Opener,
  signal: AbortSignal,
  clock: { wallNow(): string },
): Promise<ConditionResult> {
  const startedAt = clock.wallNow();
  const plan = schedule(task.condition.stimulus, task.lamp);
  const routing = routeCaptures(task.condition.captures, task.rig, task.lamp, plan);
  const base = { startedAt, duration: plan.duration };
  const [missing] = rigLacks(task.condition.stimulus, task.rig);
  if (missing !== undefined || 'impossible' in routing) {
    const reason = missing ?? ('impossible' in routing ? routing.impossible : '');
    return ended(task, base, emptyGathered(), { verdict: 'not run', reason });
  }
  const gathered = emptyGathered();
  try {
    for (const pass of routing.passes) await onePass(pass, plan, task, open, signal, gathered);
  } catch (error) {
    return ended(task, base, gathered, endingOf(error));
  }
  return ended(task, base, gathered, null);
}

function emptyGathered(): Gathered {
  return { takings: [], colour: [], frames: [], commands: [], answers: [], commanded: null };
}

async function onePass(
  pass: Pass,
  plan: Schedule,
  task: ConditionTask,
  open: Opener,
  signal: AbortSignal,
  gathered: Gathered,
): Promise<void> {
  const bench = await open();
  try {
    const { lamp, rig, seed } = task;
    await powerUp(bench, rig, lamp, signal);
    const light = new CommandedLight(lamp);
    const context: StimulusContext = {
      bench,
      rig,
      lamp,
      light,
      zero: bench.clock.now(),
      solo: pass.solo,
      seed,
      signal,
      commands: gathered.commands,
      answers: gathered.answers,
    };
    const takings = await drive(pass, plan, context);
    gathered.colour.push(...takings.colour);
    gathered.frames.push(...takings.frames);
    const story = light.finish(Math.max(plan.duration, now(context)));
    const { commanded } = gathered;
    if (!commanded) {
      gathered.takings.push(...takings.records);
      gathered.commanded = story;
      return;
    }
    const apart = passDeviation(commanded, story, pass.routes[0]?.wire.instrument ?? rig.rig);
    // Somewhere between none and all of it, equally likely: a rectangle (JCGM 100:2008, 4.3.7).
    const standard = apart / Math.sqrt(3);
    gathered.takings.push(...takings.records.map((taking) => startKnownTo(taking, standard)));
    gathered.commanded = merged(commanded, story, pass.solo, standard);
  } finally {
    await bench.close();
  }
}

/** A command that came this much later than planned moves everything after it, s: no hold is cut short. */
const latest = 0.1;

/** Stimulus and starts of records, merged by time; records start before commands of the same instant. */
async function drive(pass: Pass, plan: Schedule, context: StimulusContext): Promise<Takings> {
  const taking = planTaking(pass.routes, plan, context.bench);
  const starts = [...taking.starts];
  const actions = [...plan.actions];
  let late = 0;
  /** How late the last window began, s: on a bench it is as long as planned all the same. */
  let begun = 0;
  /** Lateness from planned instants on, in their order. */
  const shifts: { readonly from: number; readonly late: number }[] = [];
  const reach = async (at: number): Promise<void> => {
    const behind = now(context) - (at + late);
    if (behind > latest) {
      late += behind;
      shifts.push({ from: at, late });
    }
    await until(context, at + late);
  };
  while (starts.length > 0 || actions.length > 0) {
    const start = starts[0];
    const action = actions[0];
    if (start && (!action || start.at <= action.at)) {
      starts.shift();
      await reach(start.at);
      await start.begin(context);
    } else if (action) {
      actions.shift();
      await reach(action.at);
      if (action.step.verb === 'mark') begun = now(context) - (action.at + late);
      await perform(action, context);
    }
  }
  await reach(plan.duration);
  if (context.bench.clock.kind === 'real') {
    await until(context, plan.duration + late + begun);
    if (begun > latest) shifts.push({ from: plan.duration, late: late + begun });
  }
  const lateness = (at: number): number => shifts.findLast(({ from }) => from <= at)?.late ?? 0;
  return taking.collect(lateness);
}

function startKnownTo({ route, raw }: Taking, standard: number): Taking {
  if (standard === 0) return { route, raw };
  return { route, raw: { ...raw, standardStart: Math.hypot(raw.standardStart ?? 0, standard) } };
}

/** With one channel lit at a time, each channel's story is that of its own pass. */
function merged(
  first: Evidenced['commanded'],
  story: Evidenced['commanded'],
  solo: string | null,
  apart: number,
): Evidenced['commanded'] {
  const instant = Math.max(
    first.standardInstant ?? 0,
    Math.hypot(story.standardInstant ?? 0, apart),
  );
  const before = instant > 0 ? { ...first, standardInstant: instant } : first;
  if (solo === null) return before;
  const channels = before.channels.map((channel) =>
    channel.channel === solo
      ? (story.channels.find((other) => other.channel === solo) ?? channel)
      : channel,
  );
  return { ...before, channels };
}

interface Ending {
  readonly verdict: Verdict;
  readonly reason: string;
  readonly lampFailure?: LampFailure;
}

function endingOf(error: unknown): Ending {
  if (error instanceof BenchError) {
    const verdict = error.kind === 'cancelled' ? 'not run' : 'error';
    return { verdict, reason: `${error.instrument}: ${error.message}` };
  }
  if (error instanceof LampFailure)
    return { verdict: 'fail', reason: error.message, lampFailure: error };
  throw error;
}

function ended(
  task: ConditionTask,
  base: { readonly startedAt: string; readonly duration: number },
  gathered: Gathered,
  ending: Ending | null,
): ConditionResult {
  const records = captureRecords(gathered.takings);
  const frameCaptures = gathered.frames.map(frameCapture);
  const findings = ending
    ? ending.lampFailure
      ? [lampFailureFinding(ending.lampFailure)]
      : []
    : findingsOf(task, gathered, records);
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
    marks: (gathered.commanded?.marks ?? []).map((mark) => ({ ...mark })),
    commands: gathered.commands,
    captures: [...records, ...frameCaptures.map(({ record }) => record)],
    readings: gathered.colour.map(({ capture: _, ...reading }) => reading),
    commanded: (gathered.commanded?.channels ?? []).map(({ channel, segments }) => ({
      channel,
      segments: segments.map(({ from, to, startLevel, endLevel }) => [
        from,
        to,
        startLevel,
        endLevel,
      ]),
    })),
    request: requestDigest(task.condition),
    findings,
  };
  const raws = [...gathered.takings.map(({ raw }) => raw), ...frameCaptures.map(({ raw }) => raw)];
  return { condition, captures: raws };
}

function findingsOf(
  task: ConditionTask,
  gathered: Gathered,
  records: readonly CaptureRecord[],
): Finding[] {
  const { lamp, rig, condition } = task;
  const evidence: Evidenced = {
    records: gathered.takings.map((taking, index) => recordFrom(taking, records[index]!)),
    colour: gathered.colour,
    frames: gathered.frames,
    commanded: gathered.commanded ?? { channels: [], marks: [], duration: 0, curve: lamp.curve },
    calibration: [
      ...gathered.takings.map((taking, index) => calibrationOf(taking, records[index]!, rig)),
      ...colourCalibration(gathered.colour, rig),
    ],
  };
  const { rule, coverageFactor } = rig.decision;
  return [
    ...answerFindings(gathered.answers, rule),
    ...judgeCondition(condition.criteria, evidence, { lamp, rule, coverageFactor }),
  ];
}

export function worstReason(findings: readonly Finding[], verdict: Verdict): string | null {
  return findings.find((finding) => finding.verdict === verdict)?.reason ?? null;
}

/** Names are completed by the archive's prefix, so that they are unique within the run. */
function captureRecords(takings: readonly Taking[]): CaptureRecord[] {
  return takings.map(({ route, raw }, index) => ({
    file: captureFile(index, route.signal, route.of),
    signal: route.signal,
    of: route.of,
    instrument: route.wire.instrument,
    input: route.wire.input,
    rate: raw.rate,
    start: raw.start,
    samples: raw.codes.length,
    unit: raw.unit,
    scale: raw.scale,
    offset: raw.offset,
    clipped: clippedIn(raw),
    ...rangeOf(raw),
    ...(raw.standardStart === undefined ? {} : { standardStart: raw.standardStart }),
    taken: route.taken,
  }));
}

function captureFile(index: number, signal: string, of: string): string {
  const name = of === signal ? signal : `${signal}-${of}`;
  return `${String(index + 1).padStart(2, '0')}-${name}.npy`;
}

/** A frame is stored as one value per row; its rate is rows per second. */
function frameCapture(
  frame: Takings['frames'][number],
  index: number,
): { record: CaptureRecord; raw: RawCapture } {
  const raw: RawCapture = {
    input: 'frame',
    codes: Float32Array.from(frame.rows),
    scale: 1,
    offset: 0,
    unit: '1',
    lowest: Number.NEGATIVE_INFINITY,
    highest: Number.POSITIVE_INFINITY,
    rate: 1 / frame.lineTime,
    start: frame.at,
  };
  const record: CaptureRecord = {
    file: `frame-${String(index + 1).padStart(2, '0')}.npy`,
    signal: 'frame',
    of: 'frame',
    instrument: 'camera',
    input: 'frame',
    rate: raw.rate,
    start: frame.at,
    samples: frame.rows.length,
    unit: '1',
    scale: 1,
    offset: 0,
    clipped: frame.saturated ? frame.rows.length : 0,
    frame: { lineTime: frame.lineTime, exposure: frame.exposure },
    taken: 'at-once',
  };
  return { record, raw };
}

/** A record of numbers has no ends, and JSON no infinity. */
function rangeOf({ lowest, highest }: RawCapture): Pick<CaptureRecord, 'lowest' | 'highest'> {
  return {
    ...(Number.isFinite(lowest) ? { lowest } : {}),
    ...(Number.isFinite(highest) ? { highest } : {}),
  };
}
