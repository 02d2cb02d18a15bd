import { BenchError, LampFailure } from '../../bench/errors.ts';
import { linkFacts } from '../../bench/links.ts';
import type { Instrument, LampLink } from '../../bench/ports.ts';
import { lampPower } from '../power/lamp-power.ts';
import { callOn, callToAsk, type StimulusContext } from './stimulus.ts';

/** Without power for this long a hung processor has started anew, s (common practice, no source). */
const powerOff = 1;

type Bench = Pick<StimulusContext, 'bench' | 'rig' | 'lamp' | 'signal' | 'supplied' | 'lateness'>;

/** s for which an answer is waited for. */
const longestWait = 1;

/** What came of asking the lamp on a link. */
interface Asked {
  readonly link: string;
  readonly alive: boolean;
  /** In a clause. */
  readonly words: string;
}

/**
 * What a silent link proves. A lamp that does not answer may hang, or what leads to it may be broken: the link is asked
 * again, then the other links, and where the rig can take the lamp's power away, the link again after that. A lamp that
 * stays silent and answers after a power cycle hung (its link is proved alive); so did one that is alive on another link,
 * where there is no power to cycle. Anything else remains an error, which names both. On a virtual clock nothing but
 * the lamp can be silent. Resolves with what is to be thrown in place of `error`; takes a few deadlines at most.
 */
export async function proveSilence(error: unknown, bench: Bench): Promise<unknown> {
  const link = silentLink(error, bench);
  if (!link || !(error instanceof BenchError) || !hasPower(bench) || isStarting(bench))
    return error;
  if (bench.bench.clock.kind === 'virtual')
    return new LampFailure(
      `${error.message}. The simulated ${link.link} loses nothing on the way`,
      undefined,
      { manner: 'silent' },
    );
  const began = bench.bench.clock.now() - callOn(bench, link.name).deadline;
  const again = await ask(link, bench);
  if (again.alive)
    return told(error, [again], 'an answer was lost on the way, or the lamp was slow for once');
  const quiet = await askWithoutStream(link, bench);
  if (quiet?.alive)
    return told(error, [again, quiet], 'what it sends by itself kept the lamp from answering');
  const others = await Promise.all(otherLinks(link, bench).map((other) => ask(other, bench)));
  const cycled = await askAfterPowerCycle(link, bench);
  const proof = cycled ?? others.find(({ alive }) => alive);
  const tried = [again, ...(quiet ? [quiet] : []), ...others, ...(cycled ? [cycled] : [])];
  const busy = bench.lateness?.doubt(bench.bench.clock.now() - began) ?? null;
  if (proof?.alive && busy !== null)
    return told(
      error,
      tried,
      `${busy}, so that its answer may have come in time; keep it less busy`,
    );
  if (proof?.alive) return new LampFailure(sentence(error, tried), undefined, { manner: 'silent' });
  return told(
    error,
    tried,
    `either the lamp's firmware hangs for good, or what carries ${link.name} does not reach it; look at the cable, and at the lamp with another terminal`,
  );
}

/** A lamp whose power the stimulus took away, or lowered below what it promises to run on, may be silent. */
export function hasPower({ supplied, lamp }: Bench): boolean {
  return supplied.on && supplied.volts >= lamp.supply.low;
}

/** It was switched on, or restarted, so shortly before that it need not have answered. */
function isStarting({ supplied, lamp, bench }: Bench): boolean {
  return bench.clock.now() - supplied.startedAt < lamp.startUp + longestWait;
}

/** The link whose lamp did not answer in time, where it can be asked. */
function silentLink(error: unknown, { bench }: Bench): LampLink | null {
  if (!(error instanceof BenchError) || error.kind !== 'timeout') return null;
  const instrument = bench.instruments.get(error.instrument);
  return instrument && isAskable(instrument) ? instrument : null;
}

/** On a line that both share, a stream of ours may drown the lamp's answers; null where the link sends none. */
async function askWithoutStream(link: LampLink, bench: Bench): Promise<Asked | null> {
  if (!linkFacts(link.link)?.streams || !link.forget) return null;
  link.forget();
  return ask(link, bench, ' with its own stream stopped');
}

function otherLinks(silent: LampLink, { bench }: Bench): LampLink[] {
  return [...bench.instruments.values()].filter(
    (one): one is LampLink => one !== silent && isAskable(one),
  );
}

function isAskable(instrument: Instrument): instrument is LampLink {
  return instrument.kind === 'lamp-link' && instrument.whoIsLamp !== undefined;
}

async function ask(link: LampLink, bench: Bench, when = ''): Promise<Asked> {
  const name = link.name;
  try {
    await link.whoIsLamp?.(callToAsk(bench, name));
    return { link: name, alive: true, words: `${name} answered${when}` };
  } catch (error) {
    if (!(error instanceof BenchError) || error.kind === 'cancelled') throw error;
    const silent = error.kind === 'timeout';
    const words = silent ? `${name} stayed silent${when}` : `${name} failed${when} (${error.kind})`;
    return { link: name, alive: false, words };
  }
}

async function askAfterPowerCycle(link: LampLink, bench: Bench): Promise<Asked | null> {
  const { bench: open, rig, lamp, signal } = bench;
  const when = ' after a power cycle of the lamp';
  const power = lampPower(open, rig);
  if (!power) return null;
  try {
    const call = callOn({ rig, signal }, power.name);
    await power.output(false, call);
    for (const one of open.instruments.values()) if (one.kind === 'lamp-link') one.forget?.();
    await open.clock.waitUntil(open.clock.now() + powerOff, signal);
    await power.output(true, call);
    await open.clock.waitUntil(open.clock.now() + lamp.startUp, signal);
  } catch (error) {
    if (!(error instanceof BenchError) || error.kind === 'cancelled') throw error;
    return {
      link: link.name,
      alive: false,
      words: `the power could not be cycled (${error.kind})`,
    };
  }
  return ask(link, bench, when);
}

function told(error: BenchError, tried: readonly Asked[], meaning: string): BenchError {
  const words = `${sentence(error, tried)}: ${meaning}`;
  return new BenchError(error.kind, error.instrument, words, { cause: error });
}

function sentence(error: BenchError, tried: readonly Asked[]): string {
  return `${error.message} Asked again, ${tried.map(({ words }) => words).join('; ')}`;
}
