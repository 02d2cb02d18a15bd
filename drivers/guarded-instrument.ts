import { setMaxListeners } from 'node:events';
import type * as z from 'zod';
import type { Acquisition, Call, Instrument, RawCapture } from '../harness/bench/ports.ts';
import type { RigInstrument } from '../harness/bench/rig.ts';
import { driverError, failed } from './driver-errors.ts';
import * as results from './port-results.ts';
import { sleep } from './real-clock.ts';

/** Seconds that a call may need beyond its deadline to say so, or to hear that it was called off. */
const grace = 1;
/** Seconds for a farewell. */
const closing = 2;

/** How a call of a port is held to its promises. */
interface Promised {
  /** Which argument the Call is. */
  readonly call: number;
  readonly result: z.ZodType;
  /** What it measures takes so long, s; the deadline is for the rest. */
  readonly measures?: (setup: Readonly<Record<string, number>>) => number;
  /** It can only make the bench safer, or tells of it: it is let through when the rig is lost. */
  readonly harmless?: (first: unknown) => boolean;
  /** The port need not have it. */
  readonly optional?: true;
}

const always = (): boolean => true;
const identify: Promised = { call: 0, result: results.identityResult, harmless: always };
const told: Promised = { call: 1, result: results.nothing };

/** Every call of every port. */
const promises: Readonly<Record<Instrument['kind'], Readonly<Record<string, Promised>>>> = {
  'lamp-link': {
    identify,
    set: told,
    fade: { call: 2, result: results.nothing },
    send: { call: 1, result: results.replyResult },
    carry: told,
    noise: told,
    reset: { call: 0, result: results.nothing },
    safe: { call: 0, result: results.safeResult, harmless: always },
    whoIsLamp: { call: 0, result: results.lampResult, optional: true },
    mustCarry: { call: 1, result: results.nothing, optional: true },
    level: { call: 0, result: results.levelResult, optional: true },
    temperature: { call: 0, result: results.temperatureResult, optional: true },
    ask: { call: 1, result: results.reportResult, optional: true },
    tell: { call: 2, result: results.refusalResult, optional: true },
  },
  digitiser: {
    identify,
    arm: {
      call: 1,
      result: results.acquisitionResult,
      measures: ({ duration = 0 }) => duration,
    },
  },
  'colour-sensor': {
    identify,
    read: {
      call: 1,
      result: results.readingResult,
      measures: ({ integration = 0 }) => integration,
    },
  },
  spectrometer: {
    identify,
    measure: {
      call: 1,
      result: results.spectrumResult,
      measures: ({ integration = 0 }) => integration,
    },
  },
  supply: {
    identify,
    set: told,
    output: { call: 1, result: results.nothing, harmless: (on) => on === false },
    read: { call: 0, result: results.supplyResult, harmless: always },
    clear: { call: 0, result: results.nothing, harmless: always, optional: true },
  },
  switch: {
    identify,
    output: { call: 1, result: results.nothing, harmless: (on) => on === false },
    read: { call: 0, result: results.switchResult, harmless: always },
  },
  chamber: {
    identify,
    set: told,
    stop: { call: 0, result: results.nothing, harmless: always },
    read: { call: 0, result: results.chamberResult, harmless: always },
  },
  thermometer: {
    identify,
    read: { call: 0, result: results.thermometerResult, harmless: always },
  },
  camera: {
    identify,
    shoot: {
      call: 1,
      result: results.frameResult,
      measures: ({ exposure = 0, frameRate = 0 }) => exposure + (frameRate > 0 ? 1 / frameRate : 0),
    },
  },
};

/**
 * An instrument held to the promises of its port, whoever wrote its driver: every call settles by its deadline, what it
 * resolves with is what the port says, and what it throws is a bench error with its name. `mustHold` is asked before
 * anything is sent that could switch something on. Throws BenchError `unsupported` where it is no instrument.
 */
function guardInstrument(
  opened: unknown,
  entry: RigInstrument,
  mustHold: (instrument: string) => void = () => {},
): Instrument {
  const instrument = mustBeInstrument(opened, entry);
  const { name } = entry;
  const calls = new Map<string, unknown>(
    Object.entries(promises[instrument.kind])
      .filter(([method]) => method in instrument)
      .map(([method, promised]) => [
        method,
        guardCall({ instrument, name, mustHold }, method, promised),
      ]),
  );
  calls.set('name', name);
  calls.set('close', () => closeQuietly(instrument));
  return new Proxy(instrument, {
    get(target, key) {
      if (typeof key === 'string' && calls.has(key)) return calls.get(key);
      // Private fields belong to the driver's own object.
      const value: unknown = Reflect.get(target, key, target);
      return typeof value === 'function' ? value.bind(target) : value;
    },
  });
}

/** Opens by a driver, which may never come back, throw anything, or hand over no instrument. */
export async function openGuarded(
  entry: RigInstrument,
  open: () => unknown,
  mustHold?: (instrument: string) => void,
): Promise<Instrument> {
  const { name, deadline } = entry;
  const limits = { seconds: deadline, signal: new AbortController().signal };
  const opened = await withinTime(name, 'open', limits, async () => open());
  return guardInstrument(opened, entry, mustHold);
}

function mustBeInstrument(opened: unknown, { name, driver }: RigInstrument): Instrument {
  const found = opened as Readonly<Record<string, unknown>> | null | undefined;
  const kinds = Object.keys(promises);
  const kind = kinds.find((one) => one === found?.['kind']) as Instrument['kind'] | undefined;
  if (!kind)
    throw failed(
      'unsupported',
      name,
      `the driver ${driver} opened something of kind ${String(found?.['kind'])}; expected an instrument: ${kinds.join(', ')}`,
    );
  const missing = [...Object.entries(promises[kind]), ['close', { optional: false }] as const]
    .filter(([method, { optional }]) => !(optional && found?.[method] === undefined))
    .map(([method]) => method)
    .filter((method) => typeof found?.[method] !== 'function');
  if (missing.length > 0)
    throw failed(
      'unsupported',
      name,
      `the driver ${driver} opened a ${kind} without ${missing.join(', ')}; docs/drivers.md says what a driver has to do, evenfall/driver what each port has`,
    );
  if (kind === 'digitiser')
    parsed(name, 'capabilities', results.capabilitiesResult, found?.['capabilities']);
  return opened as Instrument;
}

function guardCall(
  {
    instrument,
    name,
    mustHold,
  }: {
    readonly instrument: Instrument;
    readonly name: string;
    readonly mustHold: (instrument: string) => void;
  },
  method: string,
  { call: at, result, measures, harmless }: Promised,
): (...args: unknown[]) => Promise<unknown> {
  return async (...args) => {
    if (!harmless?.(args[0])) mustHold(name);
    const { deadline, signal } = args[at] as Call;
    const measured = measures?.((args[0] ?? {}) as Readonly<Record<string, number>>) ?? 0;
    const work = (instrument as unknown as Record<string, (...own: unknown[]) => unknown>)[method];
    const limits = { seconds: deadline + measured, signal };
    const value = await withinTime(name, `${method}()`, limits, async () =>
      work?.apply(instrument, args),
    );
    const sound = parsed(name, `${method}()`, result, value);
    if (method === 'identify' || (method === 'whoIsLamp' && sound !== null))
      return withRaw(sound as Readonly<Record<string, unknown>>);
    return method === 'arm' ? guardRecord(name, sound as Acquisition, args) : sound;
  };
}

/** A record is awaited long after `arm` has resolved, and has no call of its own. */
function guardRecord(
  name: string,
  { started, finished }: Acquisition,
  [setup, call]: readonly unknown[],
): Acquisition {
  const { duration, inputs } = setup as { duration: number; inputs: readonly unknown[] };
  const { deadline, signal } = call as Call;
  // Each input may take the time of a call to be handed over.
  const limits = { seconds: duration + (2 + inputs.length) * deadline, signal };
  const sound = withinTime(name, 'the record', limits, async () => finished).then((value) => {
    const captures = parsed(name, 'the record', results.captureResults, value);
    for (const capture of captures as readonly RawCapture[]) mustBeNumbers(name, capture);
    return captures as readonly RawCapture[];
  });
  // A record that nobody waits for any more is not an unhandled failure.
  sound.catch(() => {});
  return { started, finished: sound };
}

function mustBeNumbers(name: string, { codes, input }: RawCapture): void {
  if (!(codes instanceof Float32Array)) return;
  for (let index = 0; index < codes.length; index++) {
    if (!Number.isNaN(codes[index])) continue;
    throw failed('garbled', name, `sample ${index} of input ${input} is no number (NaN)`);
  }
}

/** What the port calls for; what a driver adds to it stays. */
function parsed(name: string, what: string, schema: z.ZodType, value: unknown): unknown {
  const read = schema.safeParse(value);
  if (read.success) return read.data;
  const [first] = read.error.issues;
  const place = first?.path.map(String).join('.');
  throw failed(
    'garbled',
    name,
    `its driver answered ${what} with ${place ? `a wrong ${place}` : shortly(value)}: ${first?.message}`,
  );
}

function shortly(value: unknown): string {
  if (typeof value === 'object' && value !== null) return 'something else';
  return String(value).slice(0, 60);
}

function withRaw(identity: Readonly<Record<string, unknown>>): unknown {
  const { maker, model, serial, firmware, raw } = identity;
  const joined = [maker, model, serial, firmware].join(',');
  return { ...identity, raw: typeof raw === 'string' ? raw : joined };
}

/** `work` settles in time, or the call rejects without it; whatever it throws has the name of the instrument. */
async function withinTime<T>(
  name: string,
  call: string,
  { seconds, signal }: { readonly seconds: number; readonly signal: AbortSignal },
  work: () => Promise<T>,
): Promise<T> {
  const timers: NodeJS.Timeout[] = [];
  let calledOff = (): void => {};
  const stopped = new Promise<never>((_, reject) => {
    const after = (time: number, error: () => Error): void => {
      timers.push(setTimeout(() => reject(error()), Math.min(time * 1000, 2 ** 31 - 1)));
    };
    after(seconds + grace, () =>
      failed(
        'timeout',
        name,
        `its driver did not come back from ${call} within ${seconds} s and ${grace} s of grace`,
      ),
    );
    calledOff = () => after(grace, () => failed('cancelled', name, 'the call was cancelled'));
    if (signal.aborted) calledOff();
    else {
      // One listener a call, gone with it: a rig of ten instruments is asked all at once.
      setMaxListeners(0, signal);
      signal.addEventListener('abort', calledOff, { once: true });
    }
  });
  try {
    return await Promise.race([work(), stopped]);
  } catch (error) {
    throw driverError(error, { name, call, cancelled: signal.aborted });
  } finally {
    for (const timer of timers) clearTimeout(timer);
    signal.removeEventListener('abort', calledOff);
  }
}

/** Never rejects, and never hangs. */
async function closeQuietly(instrument: Instrument): Promise<void> {
  const done = new AbortController();
  const closed = (async () => instrument.close())().catch(() => {});
  await Promise.race([closed, sleep(closing, done.signal)]);
  done.abort();
}
