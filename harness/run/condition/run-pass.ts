import type { OpenBench } from '../../bench/ports.ts';
import type { Pass } from '../../plan/captures/passes.ts';
import { CommandedLight } from '../../plan/commanded.ts';
import type { Schedule } from '../../plan/schedule.ts';
import type { ConditionTask } from '../engine/lane.ts';
import type { PassRecords } from '../records/pass-records.ts';
import type { Start } from '../take/collector.ts';
import { takeCaptures } from '../take/take-captures.ts';
import { Delay } from './delay.ts';
import type { Gathered } from './gathered.ts';
import { powerUp } from './power-up.ts';
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
  const records = await drive(pass, schedule, context);
  const story = light.finish(Math.max(schedule.duration, now(context)));
  gathered.add(pass, records, story, rig);
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
  for (const action of actions) {
    await beginUntil(action.at, false);
    if (real) await taking.quietAt(action.at);
    await delay.reach(action.at);
    if (action.step.verb === 'mark') delay.openWindow(action.at);
    await perform(action, context);
  }
  await beginUntil(Number.POSITIVE_INFINITY);
  await delay.end(duration);
  return taking.collect((planned) => delay.at(planned));
}
