import type { Lamp } from '../bench/lamp.ts';
import type { Rig, Wire } from '../bench/rig.ts';
import type { Signal } from '../measure/signals.ts';
import { clash } from './one-record.ts';
import type { CaptureRequest } from './plan.ts';
import type { Schedule } from './schedule.ts';

/** How a per-channel record is had. */
export type Taken = 'at-once' | 'multiplexed' | 'solo';

/** One record to take in one pass through the stimulus: which wire, for which channel. */
export interface Route {
  readonly request: CaptureRequest;
  readonly signal: Signal;
  /** Channel, or the signal's own name. */
  readonly of: string;
  readonly wire: Wire;
  readonly taken: Taken;
}

/** One time through the stimulus. `solo`: only this channel is lit. */
export interface Pass {
  readonly solo: string | null;
  readonly routes: readonly Route[];
}

export type Routing = { readonly passes: readonly Pass[] } | { readonly impossible: string };

/**
 * Decides how the rig serves a condition's captures, best first: every input at once; several passes where channels
 * share an input, or where records overlap on a digitiser that takes one at a time (multiplexed); one channel lit at a
 * time where a single sensor has to see them apart (solo).
 */
export function routeCaptures(
  requests: readonly CaptureRequest[],
  rig: Rig,
  lamp: Lamp,
  plan: Schedule,
): Routing {
  const together: Route[] = [];
  const apart: Route[] = [];
  for (const request of requests) {
    for (const of of subjects(request, lamp)) {
      const wire = findWire(rig, request.signal, of, lamp);
      if (wire) {
        together.push({ request, signal: request.signal, of, wire, taken: 'at-once' });
        continue;
      }
      const shared = findWire(rig, request.signal, request.signal, lamp);
      const isChannel = of !== request.signal;
      if (!shared || !isChannel) return { impossible: noWire(request.signal, of, rig) };
      apart.push({ request, signal: request.signal, of, wire: shared, taken: 'solo' });
    }
  }
  const apartFrom = (one: Route, other: Route): boolean =>
    sharesInput(one, other) || clash(planned(one), planned(other), rig, plan);
  const multiplexed = multiplex(together, apartFrom);
  const solo = [...new Set(apart.map(({ of }) => of))].flatMap((channel) =>
    passesFor(
      apart.filter(({ of }) => of === channel),
      apartFrom,
    ).map((routes) => ({ solo: channel, routes })),
  );
  return {
    passes:
      multiplexed.length + solo.length > 0
        ? [...multiplexed, ...solo]
        : [{ solo: null, routes: [] }],
  };
}

/** `each-channel` becomes every channel; `light` and its like become the signal's own name. */
function subjects({ signal, of }: CaptureRequest, lamp: Lamp): readonly string[] {
  if (of === 'each-channel') return lamp.channels.map(({ channel }) => channel);
  if (lamp.channels.some(({ channel }) => channel === of)) return [of];
  return [signal];
}

function findWire(rig: Rig, signal: Signal, of: string, lamp: Lamp): Wire | undefined {
  const own = rig.wiring.find((wire) => wire.signal === signal && wire.of === of);
  if (own) return own;
  const position = lamp.channels.findIndex(({ channel }) => channel === of);
  if (position >= 0) {
    // `each`: the rig's inputs in the lamp's order of channels; with fewer inputs than channels they are used in turn.
    const each = rig.wiring.filter((wire) => wire.signal === signal && wire.of === 'each');
    return each[position % Math.max(1, each.length)];
  }
  return rig.wiring.find((wire) => wire.signal === signal && wire.of === 'all');
}

type Apart = (one: Route, other: Route) => boolean;

/** What cannot be recorded together gets a pass of its own. */
function multiplex(routes: readonly Route[], apart: Apart): Pass[] {
  const passes = passesFor(routes, apart);
  if (passes.length === 1) return [{ solo: null, routes: passes[0]! }];
  return passes.map((list) => ({
    solo: null,
    routes: list.map((route) => ({ ...route, taken: 'multiplexed' as const })),
  }));
}

function passesFor(routes: readonly Route[], apart: Apart): Route[][] {
  const passes: Route[][] = [];
  for (const route of routes) {
    const pass = passes.find((list) => !list.some((other) => apart(other, route)));
    if (pass) pass.push(route);
    else passes.push([route]);
  }
  return passes;
}

function planned({ request, wire }: Route) {
  return { instrument: wire.instrument, capture: request };
}

/** Channels whose wires end on one input of one instrument. */
function sharesInput(a: Route, b: Route): boolean {
  return a.wire.instrument === b.wire.instrument && a.wire.input === b.wire.input && a.of !== b.of;
}

function noWire(signal: Signal, of: string, rig: Rig): string {
  const what = of === signal ? signal : `${signal} of ${of}`;
  return `rig ${rig.rig} has no input for ${what}; add a line to its wiring, or leave the claim to a rig that has one`;
}
