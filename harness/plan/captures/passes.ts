import type { Rig } from '../../bench/rig.ts';
import { clash } from './one-record.ts';
import type { PlannedCapture } from './planned-capture.ts';

/** One time through the stimulus. `solo`: only this channel is lit. */
export interface Pass {
  readonly solo: string | null;
  readonly captures: readonly PlannedCapture[];
}

/** Captures shared out over as few passes as they need, those that need no channel lit alone first; at least one pass. */
export function passesOf(captures: readonly PlannedCapture[], rig: Rig): readonly Pass[] {
  const together = apart(
    captures.filter(({ taken }) => taken !== 'solo'),
    rig,
  );
  const solo = captures.filter(({ taken }) => taken === 'solo');
  const passes: Pass[] = [
    ...together.map((own) => ({
      solo: null,
      captures: together.length > 1 ? own.map(multiplexed) : own,
    })),
    ...[...new Set(solo.map(({ of }) => of))].flatMap((channel) => {
      const own = solo.filter(({ of }) => of === channel);
      return apart(own, rig).map((list) => ({ solo: channel, captures: list }));
    }),
  ];
  if (passes.length === 0) return [{ solo: null, captures: [] }];
  return passes.map(({ solo: channel, captures: own }, pass) => ({
    solo: channel,
    captures: own.map((capture) => ({ ...capture, pass })),
  }));
}

function multiplexed(capture: PlannedCapture): PlannedCapture {
  return { ...capture, taken: 'multiplexed' };
}

/** What cannot be recorded together is parted. */
function apart(captures: readonly PlannedCapture[], rig: Rig): readonly PlannedCapture[][] {
  const passes: PlannedCapture[][] = [];
  for (const capture of captures) {
    const free = passes.find(
      (list) => !list.some((other) => sharesInput(other, capture) || clash(other, capture, rig)),
    );
    if (free) free.push(capture);
    else passes.push([capture]);
  }
  return passes;
}

/** Channels whose wires end on one input of one instrument. */
function sharesInput(a: PlannedCapture, b: PlannedCapture): boolean {
  return a.wire.instrument === b.wire.instrument && a.wire.input === b.wire.input && a.of !== b.of;
}
