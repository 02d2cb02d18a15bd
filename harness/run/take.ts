import { BenchError } from '../bench/errors.ts';
import type {
  Acquisition,
  Camera,
  ColourSensor,
  Digitiser,
  InputSetup,
  OpenBench,
  RawCapture,
} from '../bench/ports.ts';
import type { Wire } from '../bench/rig.ts';
import type { ColourReading, Frame } from '../measure/observation.ts';
import type { Route } from '../plan/routing.ts';
import { markWindow, type Schedule } from '../plan/schedule.ts';
import { callOn, type StimulusContext } from './stimulus.ts';

/** A record and the route that it came by; value = code * scale + offset, now in the wire's unit. */
export interface Taking {
  readonly route: Route;
  readonly raw: RawCapture;
}

/** Everything that was recorded in one pass. */
export interface Takings {
  readonly records: Taking[];
  readonly colour: ColourReading[];
  readonly frames: Frame[];
}

/** Something to start at an instant of the condition; its outcome is awaited when the stimulus has ended. */
export interface Start {
  readonly at: number;
  begin(context: StimulusContext): Promise<void>;
}

/** Every start of a pass, and the promise of what they bring. */
export interface TakePlan {
  readonly starts: readonly Start[];
  /**
   * Resolves when every record is in; rejects with the first error, also where a record ended before what it was to show
   * since commands came too late. `lateness`: how much later than planned an instant of the stimulus was, s.
   */
  collect(lateness: (planned: number) => number): Promise<Takings>;
}

export function planTaking(
  routes: readonly Route[],
  schedule: Schedule,
  bench: OpenBench,
): TakePlan {
  const pending: Promise<void>[] = [];
  const takings: Takings = { records: [], colour: [], frames: [] };
  const ends: Ended[] = [];
  const starts: Start[] = [
    ...waveformStarts(routes, schedule, bench, takings, pending, ends),
    ...colourStarts(routes, schedule, bench, takings, pending),
    ...frameStarts(routes, schedule, bench, takings, pending),
  ];
  const collect = async (lateness: (planned: number) => number): Promise<Takings> => {
    await Promise.all(pending);
    for (const { group, end } of ends) mustCover(group, end, lateness(group.to));
    takings.records.sort((a, b) => routes.indexOf(a.route) - routes.indexOf(b.route));
    takings.colour.sort((a, b) => a.at - b.at);
    takings.frames.sort((a, b) => a.at - b.at);
    return takings;
  };
  return { starts: starts.sort((a, b) => a.at - b.at), collect };
}

/** What the record of a real digitiser lasts longer than planned, s: commands come late, and the record must not end before what they began. */
const margin = 0.25;

/** One record of a digitiser: inputs of one instrument, one rate and one window sample together. */
interface Group {
  readonly routes: readonly Route[];
  readonly instrument: string;
  readonly rate: number;
  readonly from: number;
  readonly to: number;
}

/** A record and when it ended, on the condition's time line. */
interface Ended {
  readonly group: Group;
  readonly end: number;
}

/** Less than this is missing of no window, s. */
const negligible = 1e-3;

function mustCover({ instrument, to }: Group, end: number, late: number): void {
  const missing = to + late - end;
  if (late <= 0 || missing <= negligible) return;
  throw new BenchError(
    'timeout',
    instrument,
    `commands came up to ${late.toFixed(2)} s later than planned, so that the record ended ${missing.toFixed(2)} s before what it was to show; keep this computer less busy, or hold longer in the spec`,
  );
}

function groupsOf(routes: readonly Route[], schedule: Schedule): Group[] {
  const groups = new Map<string, Route[]>();
  for (const route of routes) {
    if (route.request.rate === undefined) continue;
    const key = [route.wire.instrument, route.request.rate, route.request.during ?? ''].join('|');
    groups.set(key, [...(groups.get(key) ?? []), route]);
  }
  return [...groups.values()].map((group) => {
    const { request, wire } = group[0]!;
    const window = markWindow(schedule, request.during) ?? { from: 0, to: schedule.duration };
    return { routes: group, instrument: wire.instrument, rate: request.rate ?? 0, ...window };
  });
}

/** One arming per group. */
function waveformStarts(
  routes: readonly Route[],
  schedule: Schedule,
  bench: OpenBench,
  takings: Takings,
  pending: Promise<void>[],
  ends: Ended[],
): Start[] {
  const groups = groupsOf(routes, schedule);
  /** The last record of each instrument. */
  const last = new Map<string, Promise<void>>();
  return groups.map((group) => {
    const { instrument, rate, from } = group;
    const begin = async (context: StimulusContext): Promise<void> => {
      const digitiser = instrumentOf<Digitiser>(bench, instrument, 'digitiser');
      const inputs = group.routes.map((route) => inputSetup(route, context));
      mustSwitch(digitiser, inputs);
      // The record before has ended, but may not have been handed over yet.
      if (digitiser.capabilities.oneRecord) await last.get(instrument);
      const duration = lengthOf(group, groups, digitiser, bench);
      const acquisition = await digitiser.arm(
        { inputs, rate, duration },
        callOn(context, digitiser.name),
      );
      ends.push({ group, end: acquisition.started - context.zero + duration });
      const stored = guard(storeRecords(acquisition, group.routes, context, takings));
      last.set(instrument, stored);
      pending.push(stored);
    };
    return { at: from, begin };
  });
}

/** Seconds: as planned on a simulated bench, where commands are on time. */
function lengthOf(
  group: Group,
  groups: readonly Group[],
  { capabilities }: Digitiser,
  { clock }: OpenBench,
): number {
  const { instrument, rate, from, to } = group;
  const planned = to - from;
  if (clock.kind === 'virtual' || capabilities.stored) return planned;
  const next = groups.some(
    (other) => other.instrument === instrument && other.from >= to && other.from < to + margin,
  );
  const most = capabilities.longestRecord / rate;
  return next ? planned : Math.max(planned, Math.min(planned + margin, most));
}

function inputSetup({ wire, of, taken }: Route, context: StimulusContext): InputSetup {
  const switched = taken === 'multiplexed' && servesSeveral(wire, context);
  return { input: wire.input, ...(switched ? { of } : {}) };
}

/** More than one channel is wired to this input. */
function servesSeveral(wire: Wire, { rig, lamp }: StimulusContext): boolean {
  const own = rig.wiring.filter(({ signal }) => signal === wire.signal);
  const each = own.filter(({ of }) => of === 'each');
  if (wire.of === 'each') return each.length < lamp.channels.length;
  const { instrument, input } = wire;
  return own.filter((one) => one.instrument === instrument && one.input === input).length > 1;
}

/** A record of the wrong channel would look like a sound one. */
function mustSwitch({ name, capabilities }: Digitiser, inputs: readonly InputSetup[]): void {
  const switched = inputs.find(({ of }) => of !== undefined);
  if (!switched || capabilities.switches) return;
  throw new BenchError(
    'unsupported',
    name,
    `input ${switched.input} would have to serve ${switched.of} and other channels in turn, but ${name} cannot switch its inputs; wire one to each channel`,
  );
}

async function storeRecords(
  { finished }: Acquisition,
  group: readonly Route[],
  { zero, light }: StimulusContext,
  takings: Takings,
): Promise<void> {
  const raws = await finished;
  for (const route of group) {
    const raw = raws.find(({ input }) => input === route.wire.input);
    if (!raw) {
      throw new BenchError(
        'garbled',
        route.wire.instrument,
        `${route.wire.instrument} was armed on input ${route.wire.input} but returned ${raws.map((r) => r.input).join(', ')}`,
      );
    }
    light.startKnownTo(raw.standardStart ?? 0);
    takings.records.push({ route, raw: scaled(raw, route.wire, zero) });
  }
}

/** From volts at the terminals to the wire's unit, and to the condition's own time line. */
function scaled(raw: RawCapture, wire: Wire, zero: number): RawCapture {
  return {
    ...raw,
    scale: raw.scale * wire.scale,
    offset: (raw.offset - wire.offset) * wire.scale,
    unit: wire.unit,
    start: raw.start - zero,
  };
}

function colourStarts(
  routes: readonly Route[],
  schedule: Schedule,
  bench: OpenBench,
  takings: Takings,
  pending: Promise<void>[],
): Start[] {
  return routes
    .filter(({ signal }) => signal === 'colour')
    .flatMap((route) => {
      const { request, wire, of } = route;
      const window = markWindow(schedule, request.during) ?? { from: 0, to: schedule.duration };
      const integration = request.integration ?? 0.1;
      return instants(window, request.every ?? integration, integration).map((at) => ({
        at,
        begin: async (context: StimulusContext) => {
          const sensor = instrumentOf<ColourSensor>(bench, wire.instrument, 'colour-sensor');
          const reading = sensor.read({ integration }, callOn(context, sensor.name));
          pending.push(
            guard(
              reading.then((value) => {
                const own = of === 'colour' ? 'lamp' : of;
                const capture = of === 'colour' ? of : `colour-${of}`;
                takings.colour.push({ ...value, capture, at: value.at - context.zero, of: own });
              }),
            ),
          );
        },
      }));
    });
}

function frameStarts(
  routes: readonly Route[],
  schedule: Schedule,
  bench: OpenBench,
  takings: Takings,
  pending: Promise<void>[],
): Start[] {
  return routes
    .filter(({ signal }) => signal === 'frame')
    .map(({ request, wire }) => {
      const { from } = markWindow(schedule, request.during) ?? { from: 0 };
      return {
        at: from,
        begin: async (context: StimulusContext) => {
          const camera = instrumentOf<Camera>(bench, wire.instrument, 'camera');
          const setup = { exposure: request.exposure ?? 0.01, frameRate: request.frameRate ?? 25 };
          pending.push(
            guard(
              camera.shoot(setup, callOn(context, camera.name)).then((frame) => {
                // Judged as it is stored, in single precision, so that a later judgement sees the same figures.
                const rows = Float64Array.from(Float32Array.from(frame.rows));
                const capture = `frame-${String(takings.frames.length + 1).padStart(2, '0')}.npy`;
                takings.frames.push({ ...frame, capture, rows, at: frame.at - context.zero });
              }),
            ),
          );
        },
      };
    });
}

/** Readings one after another that fit wholly into the window. */
function instants(
  window: { from: number; to: number },
  every: number,
  integration: number,
): number[] {
  const count = Math.floor((window.to - window.from - integration) / every + 1e-9) + 1;
  return Array.from({ length: Math.max(0, count) }, (_, index) => window.from + index * every);
}

/** A rejection is met when the records are collected; until then it must not count as unhandled. */
function guard(promise: Promise<void>): Promise<void> {
  promise.catch(() => {});
  return promise;
}

function instrumentOf<T extends { readonly kind: string }>(
  bench: OpenBench,
  name: string,
  kind: T['kind'],
): T {
  const instrument = bench.instruments.get(name);
  if (instrument?.kind === kind) return instrument as unknown as T;
  throw new BenchError(
    'unsupported',
    name,
    `instrument ${name} should be a ${kind}, but ${instrument ? `is a ${instrument.kind}` : 'the rig has none of that name'}`,
  );
}
