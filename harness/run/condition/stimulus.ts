import { BenchError } from '../../bench/errors.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type {
  Call,
  Clock,
  LampLink,
  LampTarget,
  OpenBench,
  Reply,
  Supply,
} from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import type { SelfReport } from '../../measure/observation.ts';
import type { CommandedLight } from '../../plan/commanded.ts';
import { type Expectation, replyText } from '../../plan/expectation.ts';
import type { Action } from '../../plan/schedule.ts';
import type { CommandNote, Effect, Execution } from '../../plan/verbs/execution.ts';
import { verbOf } from '../../plan/verbs/verbs.ts';
import type { CommandRecord } from '../../record/run-record.ts';
import { type MovedAir, moveAir } from '../ambient/move-air.ts';
import { lampPower, switchOf } from '../power/lamp-power.ts';
import type { SupplyWatch } from '../power/supply-watch.ts';
import type { SwitchWatch } from '../power/switch-watch.ts';
import { effectAt, type Sent } from './link-timing.ts';
import type { OwnLateness } from './own-lateness.ts';
import { askLamp, type SaidOfItself } from './self-reports.ts';

/** The answer to a `send` that said what it expects. */
export interface Answer {
  readonly at: number;
  readonly link: string;
  readonly sent: string;
  readonly expected: Expectation;
  readonly reply: Reply;
}

/** What one time through the stimulus needs and leaves behind. */
export interface StimulusContext {
  readonly bench: OpenBench;
  readonly rig: Rig;
  readonly lamp: Lamp;
  readonly light: CommandedLight;
  /** Instant on the bench's clock at which the condition began. */
  readonly zero: number;
  /** Only this channel is lit. */
  readonly solo: string | null;
  readonly seed: number;
  readonly signal: AbortSignal;
  readonly commands: CommandRecord[];
  readonly answers: Answer[];
  /** What the lamp said of itself, and what it had to say. */
  readonly selfReports: SelfReport[];
  readonly saidOfItself: SaidOfItself[];
  /** How late this computer itself gets to what is due; null where time is virtual. */
  readonly lateness: OwnLateness | null;
  /** What the lamp's supply was told last, whoever watches it. */
  readonly supplied: { on: boolean; volts: number; startedAt: number };
  readonly air: MovedAir;
  /** Null on a simulated bench, and where the rig has no supply that can be set. */
  readonly power: SupplyWatch | null;
  /** Null on a simulated bench, and where the rig has no switch. */
  readonly relay: SwitchWatch | null;
}

/** Carries out one action and writes down when it was done, on the condition's time line. */
export async function perform({ step }: Action, context: StimulusContext): Promise<void> {
  await verbOf(step).perform?.(step, executionOf(step.verb, context));
  if (restarts(step, context.lamp)) context.supplied.startedAt = context.bench.clock.now();
}

/** By its own verb, or by the line of the console that does the same. */
function restarts(step: Action['step'], { links }: Lamp): boolean {
  if (step.verb === 'reset') return true;
  if (step.verb !== 'send' || step.message.link !== 'console') return false;
  return step.message.line.trim() === links.console?.reset;
}

/** What a verb is handed: the ports behind the rig's names, and the condition's own time line. */
function executionOf(verb: string, context: StimulusContext): Execution {
  const { lamp, light, seed, commands, answers } = context;
  /** Of what this step spoke to last, which has confirmed by now; s on the condition's time line. */
  let instants = (): Instants => ({});
  let besides = (): Pick<CommandRecord, 'besides'> => ({});
  return {
    lamp,
    light,
    seed,
    get commandCount() {
      return commands.length;
    },
    now: () => now(context),
    waitUntil: (instant) => until(context, instant),
    link(name) {
      const port = linkOf(context, name);
      instants = () => linkInstants(port, context);
      besides = () => (port.besides?.length ? { besides: [...port.besides] } : {});
      return { port, call: callOn(context, port.name) };
    },
    supply() {
      const port = powerPort(context);
      const left = now(context);
      instants = () => ({ left, confirmed: now(context) });
      besides = () => ({});
      return { port, call: callOn(context, port.name) };
    },
    moveAir: (to) => moveAir(to, { ...context, callOn: (name) => callOn(context, name) }),
    masked: (target) => masked(target, context.solo),
    effectOf: (port) => effectOf(port, context),
    note: (command) =>
      commands.push({
        ...commandRecord(verb, command, context),
        ...(context.bench.clock.kind === 'real' ? instants() : {}),
        ...besides(),
      }),
    ask: async (step, port, call) => {
      const text = await askLamp(step, { port, call }, context);
      commands.push(commandRecord(verb, { link: port.link, text }, context));
    },
    answered: (answer) => answers.push({ at: now(context), ...answer }),
  };
}

/** A simulated lamp that takes longer to confirm a line than this, s, has done something else before it said so. */
const prompt = 0.02;

/**
 * When the command that has just been sent took effect: see `effectAt`. A simulated link that confirms does so at the very instant, but
 * for a lamp that takes its time to answer.
 */
function effectOf(link: LampLink, context: StimulusContext): Effect {
  const { firstFrame, exchange = 0 } = link;
  const isPrompt = link.link !== 'console' || exchange <= prompt;
  if (context.bench.clock.kind !== 'real' && !firstFrame && isPrompt)
    return { at: now(context), standard: 0 };
  const sent: Sent = firstFrame
    ? { from: firstFrame.began - context.zero, lasted: firstFrame.lasted, confirmed: false }
    : { ...confirmedExchange(link, context), confirmed: true };
  const effect = effectAt(context.rig, link.link, sent);
  context.light.knownTo(effect.standard);
  return effect;
}

/** From the message on until it was confirmed; s on the condition's time line. */
function confirmedExchange(
  { exchange = 0, departed }: LampLink,
  context: StimulusContext,
): { readonly from: number; readonly lasted: number } {
  const from = departed === undefined ? now(context) - exchange : departed - context.zero;
  return { from, lasted: exchange };
}

type Instants = Pick<CommandRecord, 'left' | 'confirmed' | 'lasted'>;

/** When the last message left this computer, and when its confirmation came; a link that confirms nothing has the first alone. */
function linkInstants(link: LampLink, context: StimulusContext): Instants {
  const { exchange, firstFrame } = link;
  if (firstFrame) return { left: firstFrame.began - context.zero, lasted: firstFrame.lasted };
  if (exchange === undefined) return { left: now(context) };
  const { from, lasted } = confirmedExchange(link, context);
  return { left: from, confirmed: from + lasted };
}

function commandRecord(
  verb: string,
  { link, text, reply = null, effect }: CommandNote,
  context: StimulusContext,
): CommandRecord {
  const at = effect?.at ?? now(context);
  const known = effect && effect.standard > 0 ? { standardInstant: effect.standard } : {};
  return { at, link, verb, text, reply: replyText(reply), ...known };
}

/** Waits for an instant of the condition's time line. */
export async function until({ bench, zero, signal }: StimulusContext, at: number): Promise<void> {
  await bench.clock.waitUntil(zero + at, signal);
}

export function now({
  bench,
  zero,
}: {
  readonly bench: { readonly clock: Clock };
  readonly zero: number;
}): number {
  return bench.clock.now() - zero;
}

export function callOn(
  { rig, signal }: { readonly rig: Rig; readonly signal: AbortSignal },
  instrument: string,
): Call {
  const deadline = rig.instruments.find(({ name }) => name === instrument)?.deadline ?? 5;
  return { signal, deadline };
}

/** A lamp says who it is in several messages: 30 frames of DALI take 1.5 s, and a busy bridge twice that. */
const leastToAsk = 5;

export function callToAsk(
  bench: { readonly rig: Rig; readonly signal: AbortSignal },
  instrument: string,
): Call {
  const call = callOn(bench, instrument);
  return { ...call, deadline: Math.max(call.deadline, leastToAsk) };
}

/** The link that a step names, or the console, or the rig's first. */
export function linkOf(
  { bench, rig }: Pick<StimulusContext, 'bench' | 'rig'>,
  wanted: string | undefined,
): LampLink {
  const name = wanted ?? ('console' in rig.links ? 'console' : Object.keys(rig.links)[0]);
  const instrument = name === undefined ? undefined : bench.instruments.get(rig.links[name] ?? '');
  if (instrument?.kind === 'lamp-link') return instrument;
  throw new BenchError(
    'unsupported',
    name ?? 'links',
    `rig ${rig.rig} carries no ${name ?? 'lamp'} link; it has: ${Object.keys(rig.links).join(', ') || 'none'}`,
  );
}

export function supplyOf(bench: OpenBench, rig: Rig): Supply {
  const instrument = rig.supply && bench.instruments.get(rig.supply.instrument);
  if (instrument?.kind === 'supply') return instrument;
  throw new BenchError('unsupported', 'supply', `rig ${rig.rig} has no supply that can be set`);
}

/** What changes the lamp's power: the supply its voltage; the switch, where the rig has one, whether there is any. */
function powerPort(
  context: StimulusContext,
): Pick<Supply, 'set' | 'output'> & { readonly name: string } {
  const { bench, rig, power, relay } = context;
  const turned = switchOf(bench, rig);
  const switching = lampPower(bench, rig) ?? supplyOf(bench, rig);
  const noted = (on: boolean, work: () => Promise<void>): Promise<void> => {
    if (turned) return relay ? relay.turn(on, work) : work();
    return power ? power.change({ on }, work) : work();
  };
  return {
    name: switching.name,
    set: async (setup, call) => {
      await setVolts(setup, call, context);
      context.supplied.volts = setup.volts;
    },
    output: async (on, call) => {
      if (on) context.supplied.startedAt = context.bench.clock.now();
      context.supplied.on = on;
      if (on) await power?.lookOnceMore();
      await supplyChange(context, () => noted(on, () => switching.output(on, call)));
    },
  };
}

/** A change of the lamp's power: on a real bench it may take effect at any time until it is confirmed. */
async function supplyChange(context: StimulusContext, work: () => Promise<void>): Promise<void> {
  const from = now(context);
  await work();
  if (context.bench.clock.kind === 'real') context.light.supplyChanged({ from, to: now(context) });
}

/** The supply's voltage, refusing what the rig does not allow before the instrument hears of it. */
async function setVolts(
  setup: { readonly volts: number; readonly limitAmps?: number },
  call: Call,
  context: StimulusContext,
): Promise<void> {
  const { bench, rig, power } = context;
  const supply = supplyOf(bench, rig);
  const { volts } = setup;
  const highest = rig.supply?.highestVolts ?? 0;
  if (volts > highest)
    throw new BenchError(
      'refused',
      supply.name,
      `${volts} V asked for, but rig ${rig.rig} allows at most ${highest} V; nothing was changed`,
    );
  const work = (): Promise<void> => supply.set(setup, call);
  await supplyChange(context, () => (power ? power.change({ volts }, work) : work()));
}

function masked(target: LampTarget, solo: string | null): LampTarget {
  if (solo === null) return target;
  const lit = Object.entries(target.intensities).map(
    ([channel, intensity]) => [channel, channel === solo ? intensity : 0] as const,
  );
  return { level: target.level, intensities: Object.fromEntries(lit) };
}
