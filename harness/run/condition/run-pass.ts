import { BenchError } from '../../bench/errors.ts';
import type { OpenBench } from '../../bench/ports.ts';
import type { Pass } from '../../plan/captures/passes.ts';
import { CommandedLight } from '../../plan/commanded.ts';
import type { Schedule } from '../../plan/schedule.ts';
import type { ConditionTask } from '../engine/lane.ts';
import { watchOf } from '../power/watch-of.ts';
import type { PassRecords } from '../records/pass-records.ts';
import type { Start } from '../take/collector.ts';
import { takeCaptures } from '../take/take-captures.ts';
import { ArrivalWatch } from './arrival-watch.ts';
import { Delay } from './delay.ts';
import type { Gathered } from './gathered.ts';
import { mustAnswer } from './must-answer.ts';
import { OpeningWindows } from './opening-windows.ts';
import { powerUp } from './power-up.ts';
import { proveSilence } from './prove-silence.ts';
import { now, perform, type StimulusContext } from './stimulus.ts';

/** Goes through the stimulus once on a freshly opened bench and gathers what was recorded. */
export async function runPass(
  pass: Pass,
  schedule: Schedule,
  { lamp, rig, seed }: ConditionTask,
  { bench, signal }: { readonly bench: OpenBench; readonly signal: AbortSignal },
  gathered: Gathered,
): Promise<void> {
  await powerUp(bench, rig, lamp, signal);
  const power = watchOf(schedule, { bench, rig, lamp, signal });
  if (power) gathered.power.push(power);
  await power?.before();
  const arrival = ArrivalWatch.over(schedule, { bench, rig, signal });
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
    power,
  };
  power?.begin(context.zero);
  const records = await explained(context, async () => {
    const taken = await drive(pass, schedule, context);
    await arrival?.end(light.target);
    arrival?.checkPin(taken);
    return taken;
  });
  const story = light.finish(Math.max(schedule.duration, now(context)));
  gathered.add(pass, records, story, rig);
}

/** What a lamp or a link did wrong may have come of the supply; and a silent lamp may be told from a silent link. */
async function explained<T>(context: StimulusContext, work: () => Promise<T>): Promise<T> {
  const { power } = context;
  try {
    return await work();
  } catch (error) {
    if (isCancelled(error)) throw error;
    await power?.end().catch(mustBeSound);
    throw await proveSilence(error, context);
  } finally {
    power?.stop();
  }
}

function isCancelled(error: unknown): boolean {
  return error instanceof BenchError && error.kind === 'cancelled';
}

/** A supply that cannot be read is no better an explanation than what is known already. */
function mustBeSound(error: unknown): void {
  if (error instanceof BenchError && error.kind === 'supply-fault') throw error;
}

/** Stimulus and starts of records, merged by time; records start before commands of the same instant. */
async function drive(
  pass: Pass,
  { actions, duration }: Schedule,
  context: StimulusContext,
): Promise<PassRecords> {
  const taking = takeCaptures(pass.captures, context.bench);
  const delay = new Delay(context);
  const starts = [...taking.starts];
  const real = context.bench.clock.kind === 'real';
  const beginUntil = async (at: number, afterCommands = true): Promise<void> => {
    const due = (start: Start): boolean =>
      start.at < at || (start.at === at && (afterCommands || !(real && start.afterCommands)));
    for (let start = starts.find(due); start; start = starts.find(due)) {
      starts.splice(starts.indexOf(start), 1);
      await delay.reach(start.at);
      await start.begin(context);
    }
  };
  const windows = new OpeningWindows(context);
  for (const action of actions) {
    await beginUntil(action.at, false);
    if (real) await taking.quietAt(action.at);
    await delay.reach(action.at);
    if (action.step.verb === 'mark') delay.openWindow(action.at);
    await perform(action, context);
    windows.performed(action);
  }
  await beginUntil(Number.POSITIVE_INFINITY);
  await delay.end(duration);
  await context.power?.end();
  await mustAnswer(context);
  return taking.collect((planned) => delay.at(planned));
}
