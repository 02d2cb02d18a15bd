import { BenchError } from '../../bench/errors.ts';
import type { Digitiser, LampLink, OpenBench, RawCapture, Supply } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import type { PlannedCapture } from '../../plan/captures/planned-capture.ts';
import type { Effect } from '../../plan/verbs/execution.ts';
import { effectAt } from '../condition/link-timing.ts';
import { powerUp } from '../condition/power-up.ts';
import { callOn, linkOf, type StimulusContext } from '../condition/stimulus.ts';
import { figure } from '../figure.ts';
import { lampPower } from '../power/lamp-power.ts';
import { currentsAgree, inputError } from '../power/readings-agree.ts';
import { meterZero } from '../power/still-delivers.ts';
import { meanOfRecord } from '../records/mean-of-record.ts';
import { rawRecord } from '../records/raw-record.ts';
import { instrumentOf } from './instrument-of.ts';
import { timeBaseHolds } from './time-base.ts';
import { armed, inputSetup, scaled } from './waveform-starts.ts';

type Context = Pick<StimulusContext, 'bench' | 'rig' | 'lamp' | 'signal'>;

/** Steady light before the record, s: the meters of supplies average. */
const steady = 0.6;
/** Of the record before the first command, s. */
const ahead = 0.25;
/** Seconds between the commands: fewer than three flashes a second, and in step with no polling. */
const holds = [0.437, 0.503, 0.471, 0.529, 0.45];
/** The level goes down and up. */
const levels = [0.3, 1, 0.3, 1, 0.3];
/** s, for commands that take longer than planned. */
const margin = 0.4;
/** S/s */
const usualRate = 20_000;
/** A current below so many zeros of a supply's meter tells nothing of an input. */
const clear = 5;
/** Without power a lamp forgets what it was told, s (common practice, no source). */
const powerOff = 0.5;

/** What is to be proved of a digitiser. */
interface Task {
  readonly digitiser: Digitiser;
  readonly light: Wire;
  readonly pin: Wire | null;
  /** Of the supply's current, where a claim uses it. */
  readonly current: Wire | null;
}

/**
 * Looks through each digitiser of a pass at a lamp that is lit and told to jump, once since the instruments were opened: its time has to
 * run as this computer's does, and an input of the supply's current has to read what the supply reads. Whatever the lamp itself
 * does wrong proves nothing and is passed over. The lamp is without power, or dark, afterwards. Nothing where time is virtual.
 */
export async function lookAtLitLamp(
  captures: readonly PlannedCapture[],
  context: Context,
): Promise<void> {
  const { taken, clock } = context.bench;
  if (!taken || clock.kind === 'virtual') return;
  for (const task of tasksOf(captures, context)) {
    const link = linkIn(context);
    if (!link) return;
    await lookOnce(task, link, context);
    await darkAgain(link, context);
  }
}

function tasksOf(captures: readonly PlannedCapture[], { bench, rig }: Context): readonly Task[] {
  const waveforms = captures.filter((capture) => capture.kind === 'waveform');
  const names = new Set(waveforms.map(({ wire }) => wire.instrument));
  return [...names].flatMap((name): readonly Task[] => {
    const digitiser = instrumentOf(bench, name, 'digitiser');
    const own = rig.wiring.filter(({ instrument }) => instrument === name);
    const light =
      own.find(({ signal, of }) => signal === 'light' && of === 'all') ??
      own.find(({ signal }) => signal === 'light' || signal === 'channel-current');
    if (!light || digitiser.capabilities.stored) return [];
    const used = waveforms.find(
      ({ wire, signal }) => wire.instrument === name && signal === 'supply-current',
    );
    const current = used && !bench.taken?.isChecked(currentKey(used.wire)) ? used.wire : null;
    if (!current && bench.taken?.isChecked(timeKey(name))) return [];
    const pin = own.find(({ signal }) => signal === 'sync') ?? null;
    return [{ digitiser, light, pin, current }];
  });
}

function timeKey(instrument: string): string {
  return `time base of ${instrument}`;
}

function currentKey({ instrument, input }: Wire): string {
  return `current by ${instrument} ${input}`;
}

/** Null where the rig carries none that lights a lamp. */
function linkIn(context: Context): LampLink | null {
  try {
    return linkOf(context, undefined);
  } catch {
    return null;
  }
}

/** A link that fails, and a lamp that refuses, are met again by the claim that needs them. */
async function lookOnce(task: Task, link: LampLink, context: Context): Promise<void> {
  const { bench, rig, lamp, signal } = context;
  const stop = new AbortController();
  const own = { ...context, signal: AbortSignal.any([signal, stop.signal]) };
  try {
    await powerUp(bench, rig, lamp, signal);
    await light(1, link, own);
    await bench.clock.waitUntil(bench.clock.now() + steady, signal);
    const seen = await recordJumps(task, link, own);
    judge(task, seen, bench);
  } catch (error) {
    if (!(error instanceof BenchError) || error.kind === 'cancelled') throw error;
    if (error.instrument !== link.name) throw error;
  } finally {
    stop.abort('ended');
  }
}

interface Seen {
  readonly raws: readonly RawCapture[];
  readonly commands: readonly Effect[];
  /** By the supply, A, while the lamp was lit; null where it cannot be read. */
  readonly amps: number | null;
  /** The lamp was lit until then, s on the clock. */
  readonly until: number;
}

async function recordJumps(task: Task, link: LampLink, context: Context): Promise<Seen> {
  const { clock } = context.bench;
  const { digitiser, light: lit, pin, current } = task;
  const wires = [lit, ...(pin ? [pin] : []), ...(current ? [current] : [])];
  const inputs = [...new Map(wires.map((wire) => [wire.input, setupOf(wire, context)])).values()];
  const duration = ahead + holds.reduce((sum, hold) => sum + hold, 0) + margin;
  const { highestRate, longestRecord } = digitiser.capabilities;
  const rate = Math.min(usualRate, highestRate, longestRecord / duration);
  const { finished } = await armed(digitiser, { inputs, rate, duration }, context);
  finished.catch(() => {});
  let due = clock.now() + ahead;
  const amps = current ? await ampsOf(context) : null;
  const until = clock.now();
  const commands: Effect[] = [];
  for (const [index, level] of levels.entries()) {
    await clock.waitUntil(due, context.signal);
    commands.push(await light(level, link, context));
    due = clock.now() + (holds[index] ?? 0);
  }
  return { raws: await finished, commands, amps, until };
}

function setupOf(wire: Wire, context: Context) {
  return inputSetup({ wire, of: wire.of, taken: 'at-once' }, context);
}

/** Commands all channels at a level; when it took effect, s on the clock. */
async function light(level: number, link: LampLink, context: Context): Promise<Effect> {
  const { bench, rig, lamp } = context;
  const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));
  await link.set({ level, intensities }, callOn(context, link.name));
  const { firstFrame, exchange = 0, departed = bench.clock.now() - exchange } = link;
  const sent = firstFrame
    ? { from: firstFrame.began, lasted: firstFrame.lasted, confirmed: false }
    : { from: departed, lasted: exchange, confirmed: true };
  return effectAt(rig, link.link, sent);
}

async function ampsOf(context: Context): Promise<number | null> {
  const { instruments } = context.bench;
  const supply = instruments.get(context.rig.supply?.instrument ?? '');
  if (supply?.kind !== 'supply') return null;
  const reading = await (supply as Supply).read(callOn(context, supply.name)).catch(unreadable);
  return reading?.on && reading.mode !== 'current' ? reading.amps : null;
}

function unreadable(error: unknown): null {
  if (error instanceof BenchError && error.kind === 'unsupported') return null;
  throw error;
}

function judge(
  { digitiser, light: lit, pin, current }: Task,
  { raws, commands, amps, until }: Seen,
  { taken }: OpenBench,
): void {
  const of = (wire: Wire | null) => raws.find(({ input }) => input === wire?.input) ?? null;
  if (timeBaseHolds({ pin: of(pin), light: of(lit) }, commands, digitiser.name))
    taken?.noteChecked(timeKey(digitiser.name));
  const raw = of(current);
  if (!current || !raw || amps === null) return;
  const record = rawRecord(
    { id: '', file: '', signal: current.signal, of: current.of, wire: current, taken: 'alongside' },
    scaled(raw, current, 0),
  );
  const { mean } = meanOfRecord(record, { from: raw.start, to: until });
  if (Math.max(Math.abs(mean), amps) < clear * meterZero) return;
  if (!currentsAgree(mean, amps))
    throw inputError(
      record,
      `reads a mean of ${figure(mean)} A before the claim, where the supply says that it draws ${figure(amps)} A`,
    );
  taken?.noteChecked(currentKey(current));
}

async function darkAgain(link: LampLink, context: Context): Promise<void> {
  const { bench, rig, signal } = context;
  const power = lampPower(bench, rig);
  if (power) await power.output(false, callOn(context, power.name));
  else await link.safe(callOn(context, link.name));
  for (const one of bench.instruments.values()) if (one.kind === 'lamp-link') one.forget?.();
  if (power) await bench.clock.waitUntil(bench.clock.now() + powerOff, signal);
}
