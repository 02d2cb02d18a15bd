import { BenchError } from '../bench/errors.ts';
import type { Lamp } from '../bench/lamp.ts';
import type {
  Call,
  Clock,
  LampLink,
  LampTarget,
  OpenBench,
  RawMessage,
  Reply,
  Supply,
} from '../bench/ports.ts';
import type { Rig } from '../bench/rig.ts';
import { commandTime } from '../plan/command-time.ts';
import type { CommandedLight } from '../plan/commanded.ts';
import type { Expectation } from '../plan/plan.ts';
import type { Action } from '../plan/schedule.ts';
import type { CommandRecord } from '../record/run-record.ts';

/** The answer to a `send` that said what it expects. */
export interface Answer {
  readonly at: number;
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
}

/** Carries out one action and writes down when it was done, on the condition's time line. */
export async function perform({ step }: Action, context: StimulusContext): Promise<void> {
  const { light } = context;
  switch (step.verb) {
    case 'mark':
      light.mark(now(context), step.name);
      return;
    case 'set': {
      const target = masked(light.complete(step), context.solo);
      const link = linkOf(context, step.link);
      await link.set(target, callOn(context, link.name));
      const effect = effectOf(link, context);
      light.set(effect.at, target);
      note(context, link.link, 'set', targetText(target), null, effect);
      return;
    }
    case 'fade': {
      const target = masked(light.complete(step), context.solo);
      const link = linkOf(context, step.link);
      await link.fade(target, step.over, callOn(context, link.name));
      const effect = effectOf(link, context);
      light.fade(effect.at, target, step.over);
      const text = `${targetText(target)} over ${step.over} s`;
      note(context, link.link, 'fade', text, null, effect);
      return;
    }
    case 'send':
      await send(step.message, step.expect, context);
      return;
    case 'carry': {
      const link = linkOf(context, step.link);
      await link.carry(step.on, callOn(context, link.name));
      note(context, link.link, 'carry', step.on ? 'signal on' : 'signal off');
      return;
    }
    case 'noise': {
      const link = linkOf(context, step.link);
      const call = callOn(context, link.name);
      const deadline = call.deadline + commandTime(step, context.lamp);
      await link.noise(randomBytes(step.bytes, context), { ...call, deadline });
      note(context, link.link, 'noise', `${step.bytes} random bytes`);
      return;
    }
    case 'reset': {
      const link = linkOf(context, undefined);
      await link.reset(callOn(context, link.name));
      note(context, link.link, 'reset', 'restart of the firmware');
      return;
    }
    case 'supply':
      await setSupply(step, context);
      return;
    case 'random':
      await storm(step, context);
      return;
  }
}

async function send(
  message: RawMessage,
  expect: Expectation | undefined,
  context: StimulusContext,
): Promise<void> {
  const link = linkOf(context, message.link);
  const reply = await link.send(message, callOn(context, link.name));
  const text = messageText(message);
  note(context, message.link, 'send', text, reply);
  if (expect) context.answers.push({ at: now(context), sent: text, expected: expect, reply });
}

async function setSupply(
  step: { readonly volts?: number; readonly output?: 'on' | 'off' },
  context: StimulusContext,
): Promise<void> {
  const supply = supplyOf(context.bench, context.rig);
  const call = callOn(context, supply.name);
  if (step.volts !== undefined)
    await supply.set({ volts: withinLimits(step.volts, context.rig) }, call);
  if (step.output !== undefined) await supply.output(step.output === 'on', call);
  const volts = step.volts === undefined ? '' : `${step.volts} V`;
  const output = step.output === undefined ? '' : `output ${step.output}`;
  note(context, 'supply', 'supply', [volts, output].filter(Boolean).join(', '));
}

/** Random levels and intensities at a fixed pace: the same ones for the same seed. */
async function storm(
  { commands, every }: { readonly commands: number; readonly every: number },
  context: StimulusContext,
): Promise<void> {
  const draw = generator(context.seed);
  const start = now(context);
  const link = linkOf(context, undefined);
  for (let turn = 0; turn < commands; turn++) {
    await until(context, start + turn * every);
    const intensities = context.lamp.channels.map(({ channel }) => [channel, draw()] as const);
    const target = masked(
      { level: draw(), intensities: Object.fromEntries(intensities) },
      context.solo,
    );
    await link.set(target, callOn(context, link.name));
    context.light.set(effectOf(link, context).at, target);
  }
  note(context, link.link, 'random', `${commands} random settings, one every ${every} s`);
}

interface Effect {
  readonly at: number;
  /** Standard uncertainty of `at`, s. */
  readonly standard: number;
}

/**
 * When the command that has just been confirmed took effect. On a real bench that was while the confirmation was awaited:
 * half way, known to a rectangle of that width (JCGM 100:2008, 4.3.7). A simulated link confirms at the very instant.
 */
function effectOf(link: LampLink, context: StimulusContext): Effect {
  const exchange = context.bench.clock.kind === 'real' ? (link.exchange ?? 0) : 0;
  const standard = exchange / Math.sqrt(12);
  context.light.knownTo(standard);
  return { at: now(context) - exchange / 2, standard };
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

function withinLimits(volts: number, { supply, rig }: Rig): number {
  if (supply && volts <= supply.highestVolts) return volts;
  throw new BenchError(
    'refused',
    supply?.instrument ?? 'supply',
    `${volts} V asked for, but rig ${rig} allows at most ${supply?.highestVolts ?? 0} V; nothing was changed`,
  );
}

function masked(target: LampTarget, solo: string | null): LampTarget {
  if (solo === null) return target;
  const lit = Object.entries(target.intensities).map(
    ([channel, intensity]) => [channel, channel === solo ? intensity : 0] as const,
  );
  return { level: target.level, intensities: Object.fromEntries(lit) };
}

function note(
  context: StimulusContext,
  link: string,
  verb: string,
  text: string,
  reply: Reply = null,
  effect?: Effect,
): void {
  const at = effect?.at ?? now(context);
  const known = effect && effect.standard > 0 ? { standardInstant: effect.standard } : {};
  context.commands.push({ at, link, verb, text, reply: replyText(reply), ...known });
}

export function replyText(reply: Reply): string | null {
  if (reply === null) return null;
  return 'text' in reply ? reply.text : `0x${reply.byte.toString(16).padStart(2, '0')}`;
}

function targetText({ level, intensities }: LampTarget): string {
  const mix = Object.entries(intensities).map(([channel, value]) => `${channel} ${percent(value)}`);
  return `level ${percent(level)}, ${mix.join(', ')}`;
}

function percent(ratio: number): string {
  return `${Number((ratio * 100).toPrecision(5))} %`;
}

function messageText(message: RawMessage): string {
  if (message.link === 'console') return message.line;
  if (message.link === 'dali') {
    const bytes = message.frame.map((byte) => byte.toString(16).padStart(2, '0')).join(' ');
    return message.twice ? `${bytes} twice` : bytes;
  }
  const shown = message.slots.slice(0, 16).join(' ');
  return `start code ${message.startCode}, slots ${shown}${message.slots.length > 16 ? ' …' : ''}`;
}

/** Other bytes for each step of a condition, the same for the same seed. */
function randomBytes(count: number, { seed, commands }: StimulusContext): Uint8Array {
  const draw = generator(seed + commands.length);
  return Uint8Array.from({ length: count }, () => Math.floor(256 * draw()));
}

/** 0..1, 32 bit (mulberry32). */
function generator(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}
