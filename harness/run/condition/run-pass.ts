import { BenchError, LampFailure } from '../../bench/errors.ts';
import type { OpenBench } from '../../bench/ports.ts';
import type { Pass } from '../../plan/captures/passes.ts';
import { CommandedLight } from '../../plan/commanded.ts';
import type { Schedule } from '../../plan/schedule.ts';
import { conditionAir } from '../ambient/condition-air.ts';
import { lampTemperature } from '../ambient/lamp-temperature.ts';
import type { ConditionTask } from '../engine/lane.ts';
import { mustNotContradict } from '../judge/witnesses.ts';
import { checkLightAfterOff } from '../power/light-after-off.ts';
import { currentMustAgree } from '../power/readings-agree.ts';
import { switchWatchOf } from '../power/switch-watch-of.ts';
import { watchOf } from '../power/watch-of.ts';
import { heardPass } from '../records/heard-pass.ts';
import type { PassRecords } from '../records/pass-records.ts';
import type { Start } from '../take/collector.ts';
import { colourEvidence } from '../take/colour-evidence.ts';
import { type ColourLooks, lookAtDarkColour } from '../take/colour-looks.ts';
import { lookAtDarkInputs } from '../take/dark-inputs.ts';
import { lookInTheDark } from '../take/dark-look.ts';
import { freshEvidence } from '../take/fresh-evidence.ts';
import { lookAtLitLamp } from '../take/lit-look.ts';
import { type TakePlan, takeCaptures } from '../take/take-captures.ts';
import { ArrivalWatch } from './arrival-watch.ts';
import { Delay } from './delay.ts';
import type { Gathered } from './gathered.ts';
import { LevelWatch } from './level-watch.ts';
import { mustAnswer, mustBeInStep, mustCarry } from './must-answer.ts';
import { OpeningWindows } from './opening-windows.ts';
import { OwnLateness } from './own-lateness.ts';
import { powerUp } from './power-up.ts';
import { hasPower, proveSilence } from './prove-silence.ts';
import { perform, type StimulusContext } from './stimulus.ts';
import { endOfStory } from './story-end.ts';

/** Goes through the stimulus once on a freshly opened bench and gathers what was recorded. */
export async function runPass(
  pass: Pass,
  schedule: Schedule,
  { lamp, rig, seed, condition }: ConditionTask,
  { bench, signal }: { readonly bench: OpenBench; readonly signal: AbortSignal },
  gathered: Gathered,
): Promise<void> {
  const air = await conditionAir(condition.ambient, { bench, rig, signal });
  if (air) gathered.air.push(air);
  const darkColour = await lookAtBench(pass.captures, { bench, rig, lamp, signal });
  await beforeCondition(() => powerUp(bench, rig, lamp, signal));
  const lampSays = () => (air ? lampTemperature(bench, rig, signal) : Promise.resolve(null));
  await air?.before(await lampSays());
  const power = watchOf(schedule, { bench, rig, lamp, signal });
  if (power) gathered.power.push(power);
  await power?.before();
  const relay = switchWatchOf({ bench, rig, signal });
  if (relay) gathered.relays.push(relay);
  await relay?.before();
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
    ...kept(gathered),
    supplied: { on: true, volts: lamp.supply.nominal, startedAt: Number.NEGATIVE_INFINITY },
    air: { celsius: condition.ambient?.celsius ?? rig.ambient, watch: air },
    power,
    relay,
    lateness: bench.clock.kind === 'virtual' ? null : new OwnLateness(bench.clock),
  };
  gathered.passBegan = context.zero;
  bench.began?.(context.zero);
  for (const watch of [air, power, relay]) watch?.begin(context.zero);
  const { records, held } = await explained(context, async () => {
    const driven = await drive(pass, schedule, context);
    await arrival?.end(light.target);
    arrival?.checkPin(driven.records);
    power?.hold(driven.records);
    checkLightAfterOff({ relay, power, rig }, driven.records.waveforms);
    await air?.end(hasPower(context) ? await lampSays() : null);
    return driven;
  });
  const story = light.finish(endOfStory(held, records));
  gathered.add(pass, records, story, rig);
  gathered.overhear(heardPass(bench, { ...context, solo: pass.solo, condition }, story));
  const readings = power?.readings ?? [];
  mustNotContradict({ records, story, readings });
  currentMustAgree(records.waveforms, readings, { story: power?.story ?? null, commanded: story });
  gathered.freshness.push(
    ...freshEvidence(records, story, bench),
    ...colourEvidence(records.colour, pass.captures, story, darkColour),
  );
}

function kept({
  commands,
  answers,
  selfReports,
  saidOfItself,
}: Gathered): Pick<StimulusContext, 'commands' | 'answers' | 'selfReports' | 'saidOfItself'> {
  return { commands, answers, selfReports, saidOfItself };
}

/** Before the lamp has its power: whether the instruments see the dark as dark, and light as it is; what colour sensors read of the dark. */
async function lookAtBench(
  captures: Pass['captures'],
  context: Parameters<typeof lookAtDarkInputs>[1],
): Promise<ColourLooks> {
  await lookInTheDark(captures, context);
  await lookAtDarkInputs(captures, context);
  const darkColour = await lookAtDarkColour(captures, context);
  await lookAtLitLamp(captures, context);
  return darkColour;
}

/** What a lamp or a link did wrong may have come of the supply; and a silent lamp may be told from a silent link. */
async function explained<T>(context: StimulusContext, work: () => Promise<T>): Promise<T> {
  const { power, relay, lateness, signal } = context;
  const over = new AbortController();
  void lateness?.watch(AbortSignal.any([signal, over.signal]));
  try {
    return await work();
  } catch (error) {
    if (isCancelled(error)) throw error;
    await power?.end().catch(mustBeSound);
    throw onConditionTime(await proveSilence(error, context), context.zero);
  } finally {
    over.abort('ended');
    power?.stop();
    relay?.stop();
  }
}

/** A failure of the lamp, told on the condition's time line. */
function onConditionTime(error: unknown, zero: number): unknown {
  if (!(error instanceof LampFailure) || error.at === undefined) return error;
  const { message, at, manner } = error;
  return new LampFailure(message, at - zero, { cause: error, manner });
}

/** One from before the condition has no instant on it. */
async function beforeCondition<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof LampFailure)) throw error;
    const words = `${error.message} It happened while the lamp started, before the condition began.`;
    throw new LampFailure(words, undefined, { cause: error, manner: error.manner });
  }
}

function isCancelled(error: unknown): boolean {
  return error instanceof BenchError && error.kind === 'cancelled';
}

/** A supply that cannot be read is no better an explanation than what is known already. */
function mustBeSound(error: unknown): void {
  if (error instanceof BenchError && error.kind === 'supply-fault') throw error;
}

/** s from one action to the next that is more than a name of an instant. */
function timeToNext(actions: Schedule['actions'], index: number): number {
  const next = actions.find(({ step }, other) => other > index && step.verb !== 'mark');
  return next ? next.at - (actions[index]?.at ?? next.at) : Number.POSITIVE_INFINITY;
}

/**
 * Stimulus and starts of records, merged by time; records start before commands of the same instant. What they brought, and when
 * the last hold was over, s.
 */
async function drive(
  pass: Pass,
  schedule: Schedule,
  context: StimulusContext,
): Promise<{ readonly records: PassRecords; readonly held: number }> {
  const taking = takeCaptures(pass.captures, context.bench);
  try {
    // Each question raises the sync pin as a command does: where it is recorded, it is for the claim's own commands alone.
    const isPinRecorded = pass.captures.some(({ signal }) => signal === 'sync');
    return await carryOut(
      taking,
      schedule,
      context,
      isPinRecorded ? null : LevelWatch.over(context),
    );
  } catch (error) {
    // What it would have recorded nobody wants any more, and the next condition needs the instruments.
    await taking.giveUp();
    throw error;
  }
}

async function carryOut(
  taking: TakePlan,
  { actions, duration }: Schedule,
  context: StimulusContext,
  levels: LevelWatch | null,
): Promise<{ readonly records: PassRecords; readonly held: number }> {
  const delay = new Delay(context);
  const starts = [...taking.starts];
  const real = context.bench.clock.kind === 'real';
  const beginUntil = async (at: number, afterCommands = true): Promise<void> => {
    const due = (start: Start): boolean =>
      start.at < at || (start.at === at && (afterCommands || !(real && start.afterCommands)));
    for (let start = starts.find(due); start; start = starts.find(due)) {
      starts.splice(starts.indexOf(start), 1);
      await delay.reach(start.at);
      await start.begin(context, delay);
    }
  };
  const windows = new OpeningWindows(context);
  for (const [index, action] of actions.entries()) {
    await beginUntil(action.at, false);
    if (real) await taking.quietAt(action.at);
    await delay.reach(action.at);
    if (action.step.verb === 'mark') delay.openWindow(action.at);
    delay.next(Math.min(duration, action.at + timeToNext(actions, index)));
    await perform(action, context);
    delay.next(Number.POSITIVE_INFINITY);
    windows.performed(action);
    // The lamp's power changes at some time before the supply confirms it: what follows is held from then on.
    const confirmed = context.light.suppliedAt;
    if (action.step.verb === 'supply' && confirmed !== null) delay.follow(action.at, confirmed);
    context.relay?.look(timeToNext(actions, index));
    levels?.look(action, timeToNext(actions, index));
  }
  await beginUntil(Number.POSITIVE_INFINITY);
  const held = await delay.end(duration);
  await context.power?.end();
  await context.relay?.end();
  await mustAnswer(context);
  await mustCarry(context);
  await mustBeInStep(context);
  const records = await taking.collect((planned) => delay.at(planned));
  await levels?.end();
  return { records, held };
}
