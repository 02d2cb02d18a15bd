import { BenchError } from '../harness/bench/errors.ts';
import type { Lamp } from '../harness/bench/lamp.ts';
import type { Identity, Instrument, OpenBench } from '../harness/bench/ports.ts';
import type { Rig, RigInstrument } from '../harness/bench/rig.ts';
import type { DriverContext } from './driver.ts';
import { openGuarded } from './guarded-instrument.ts';
import { RealClock, sleep } from './real-clock.ts';
import { findDriver } from './registry.ts';
import { SentLog } from './sent-log.ts';
import { tellPower } from './told-power.ts';

export interface RigToOpen {
  readonly rig: Rig;
  readonly lamp: Lamp;
  /** Folder of the rig file. */
  readonly folder: string;
  readonly signal?: AbortSignal;
  /** Asked before anything is sent that could switch something on; throws a BenchError where the rig is lost. */
  readonly mustHold?: (instrument: string) => void;
}

/** A bench of real instruments, and what each of them (but for the links to the lamp) said of itself. */
export interface OpenRig extends OpenBench {
  readonly identities: ReadonlyMap<string, Identity>;
  /** What the firmware told of its variables until now is of no concern any more. */
  forgetProbes(): void;
}

/** An instrument has so long to be opened where the rig has to be made safe: the supply does not wait for it, s. */
const openingToSafe = 1;

/** Seconds from try to try of reaching an instrument. */
const retryPause = 0.5;

/**
 * Opens every instrument of a rig and compares what it says of itself with the rig file (links to the lamp excepted).
 * An instrument that does not answer is tried again as often as its `retries` allow, and the bench's notes say so.
 * Rejects with the first error in the rig file's order, when all are closed again.
 */
export async function openRig(to: RigToOpen): Promise<OpenRig> {
  const clock = new RealClock();
  const signal = to.signal ?? new AbortController().signal;
  const notes: Record<string, string | number> = {};
  const log = new SentLog();
  const { instruments: opened, errors } = await openInstruments(to, { clock, log });
  const instruments = tellPower(opened, to, { clock, log });
  const identities = new Map<string, Identity>();
  await Promise.all(
    to.rig.instruments.map(async (entry) => {
      const instrument = instruments.get(entry.name);
      // A lamp that has no power cannot say who it is: its links are asked by `reachInstrument` when it has.
      if (!instrument || instrument.kind === 'lamp-link') return;
      try {
        const { identity, tries } = await reachInstrument(instrument, entry, signal);
        identities.set(entry.name, identity);
        if (tries > 1) notes[`tries to reach ${entry.name}`] = tries;
      } catch (error) {
        errors.set(entry.name, error);
      }
    }),
  );
  const close = () => closeAll(instruments);
  const first = to.rig.instruments.find(({ name }) => errors.has(name));
  if (first) {
    await close();
    throw errors.get(first.name);
  }
  const tells = Object.values(to.rig.links).every((name) => isTelling(instruments.get(name)));
  const heard = () => log.until(clock.now());
  const probes = () => log.probes();
  return {
    ...{ clock, instruments, notes, identities, close },
    forgetProbes: () => log.forgetProbes(),
    ...(tells && { heard }),
    ...('console' in to.rig.links && { probes }),
  };
}

function isTelling(instrument: Instrument | undefined): boolean {
  return instrument?.kind === 'lamp-link' && instrument.tells === true;
}

/**
 * Whatever of a rig can be opened, without asking who it is: for switching off, where half a rig is better than none.
 */
export async function openWhatOpens(
  to: RigToOpen,
): Promise<OpenBench & { readonly errors: ReadonlyMap<string, unknown> }> {
  const clock = new RealClock();
  const parts = { clock, log: new SentLog() };
  const { instruments, errors } = await openInstruments(to, parts, openingToSafe);
  return { clock, instruments, notes: {}, errors, close: () => closeAll(instruments) };
}

async function closeAll(instruments: ReadonlyMap<string, Instrument>): Promise<void> {
  await Promise.all([...instruments.values()].map((instrument) => instrument.close()));
}

/** All at once: one that hangs keeps no other one waiting. In the rig file's order. */
async function openInstruments(
  { rig, lamp, folder, mustHold }: RigToOpen,
  { clock, log }: { readonly clock: RealClock; readonly log: SentLog },
  within = Number.POSITIVE_INFINITY,
): Promise<{ instruments: Map<string, Instrument>; errors: Map<string, unknown> }> {
  const context: DriverContext = { rig, lamp, clock, folder, log };
  const opened = await Promise.allSettled(
    rig.instruments.map((entry) => {
      // A module of the user's may hang where it is loaded already.
      const open = async () => (await findDriver(entry.name, entry.driver, folder))(entry, context);
      const limited = { ...entry, deadline: Math.min(entry.deadline, within) };
      return openGuarded(limited, open, mustHold);
    }),
  );
  const instruments = new Map<string, Instrument>();
  const errors = new Map<string, unknown>();
  for (const [index, { name }] of rig.instruments.entries()) {
    const one = opened[index];
    if (one?.status === 'fulfilled') instruments.set(name, one.value);
    else errors.set(name, one?.reason);
  }
  return { instruments, errors };
}

/** Asks who it is, again as often as its `retries` allow, and compares it with the rig file. */
export async function reachInstrument(
  instrument: Instrument,
  entry: RigInstrument,
  signal: AbortSignal,
): Promise<{ readonly identity: Identity; readonly tries: number }> {
  for (let tries = 1; ; tries++) {
    try {
      const identity = await instrument.identify({ signal, deadline: entry.deadline });
      compareIdentity(entry, identity);
      return { identity, tries };
    } catch (error) {
      const hopeless =
        !(error instanceof BenchError) ||
        ['identity-mismatch', 'unsupported', 'cancelled'].includes(error.kind);
      if (hopeless || tries > entry.retries) throw error;
      await sleep(retryPause, signal);
    }
  }
}

/** Each field that the rig file gives has to be the same. */
export function compareIdentity({ name, identity }: RigInstrument, found: Identity): void {
  const wrong = Object.entries(identity).filter(
    ([field, value]) => found[field as keyof typeof identity] !== value,
  );
  if (wrong.length === 0) return;
  const expected = wrong.map(([field, value]) => `${field} ${value}`).join(', ');
  const said = wrong
    .map(([field]) => `${field} ${found[field as keyof typeof identity] || '(none)'}`)
    .join(', ');
  throw new BenchError(
    'identity-mismatch',
    name,
    `${name}: the rig file expects ${expected}, it says ${said}; another instrument is at its address, or the rig file is out of date`,
  );
}
