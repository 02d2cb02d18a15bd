import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import type { Rig } from '../../harness/bench/rig.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import type { CaptureRequest } from '../../harness/plan/plan.ts';
import { routeCaptures } from '../../harness/plan/routing.ts';
import type { Schedule } from '../../harness/plan/schedule.ts';

const lampOf = (name: string) => {
  const file = `specs/lamps/${name}.lamp.yaml`;
  const read = readLamp(readFileSync(file, 'utf8'), file);
  if (!('lamp' in read)) throw new Error(JSON.stringify(read.issues));
  return read.lamp;
};
const rigFile = 'specs/rigs/simulated.rig.yaml';
const readSimulated = readRig(readFileSync(rigFile, 'utf8'), rigFile);
if (!('rig' in readSimulated)) throw new Error(JSON.stringify(readSimulated.issues));
const simulated = readSimulated.rig;
const alcove6 = lampOf('alcove-6');
const current = { signal: 'channel-current', of: 'each-channel', rate: 10e3 } as const;
const plan: Schedule = {
  actions: [],
  marks: [
    { name: 'early', at: 0 },
    { name: 'late', at: 1 },
  ],
  duration: 2,
};
const light = { signal: 'light', of: 'each-channel', rate: 10e3 } as const;

function passesOf(routing: ReturnType<typeof routeCaptures>) {
  if ('impossible' in routing) throw new Error(routing.impossible);
  return routing.passes;
}

function withCurrentInputs(count: number): Rig {
  const own = simulated.wiring.filter(({ signal }) => signal === 'channel-current').slice(0, count);
  const rest = simulated.wiring.filter(({ signal }) => signal !== 'channel-current');
  return { ...simulated, wiring: [...own, ...rest] };
}

describe('routeCaptures', () => {
  it('takes every channel at once where the digitiser has an input for each', () => {
    const passes = passesOf(routeCaptures([current], simulated, alcove6, plan));
    expect(passes).toHaveLength(1);
    expect(passes[0]!.routes.map(({ of }) => of)).toEqual([
      'warm',
      'cool',
      'red',
      'lime',
      'cyan',
      'indigo',
    ]);
    expect(passes[0]!.routes.every(({ taken }) => taken === 'at-once')).toBe(true);
  });

  it('repeats the condition where channels share inputs, and says so', () => {
    const passes = passesOf(routeCaptures([current], withCurrentInputs(4), alcove6, plan));
    expect(passes.map(({ routes }) => routes.map(({ of }) => of))).toEqual([
      ['warm', 'cool', 'red', 'lime'],
      ['cyan', 'indigo'],
    ]);
    expect(
      passes.flatMap(({ routes }) => routes).every(({ taken }) => taken === 'multiplexed'),
    ).toBe(true);
  });

  it('lights one channel at a time where a single photodiode has to see them apart', () => {
    const passes = passesOf(routeCaptures([light], simulated, alcove6, plan));
    expect(passes.map(({ solo }) => solo)).toEqual([
      'warm',
      'cool',
      'red',
      'lime',
      'cyan',
      'indigo',
    ]);
    expect(passes.every(({ routes }) => routes.length === 1 && routes[0]!.taken === 'solo')).toBe(
      true,
    );
  });

  it('says what to add when the rig has no input at all', () => {
    const routing = routeCaptures([current], withCurrentInputs(0), alcove6, plan);
    expect(routing).toEqual({
      impossible:
        'rig simulated has no input for channel-current of warm; add a line to its wiring, or leave the claim to a rig that has one',
    });
  });

  it('runs the stimulus once even when nothing is recorded', () => {
    expect(passesOf(routeCaptures([], simulated, alcove6, plan))).toEqual([
      { solo: null, routes: [] },
    ]);
  });

  describe('on a digitiser that takes one record at a time', () => {
    const single: Rig = {
      ...simulated,
      instruments: simulated.instruments.map((entry) =>
        entry.name === 'digitiser'
          ? { ...entry, settings: { ...entry.settings, 'one-record': true } }
          : entry,
      ),
    };
    const signalsOf = (captures: readonly CaptureRequest[], rig: Rig): string[][] =>
      passesOf(routeCaptures(captures, rig, alcove6, plan)).map(({ routes }) => [
        ...new Set(routes.map(({ signal }) => signal)),
      ]);
    const busy = { signal: 'busy', of: 'busy', rate: 10e3 } as const;
    const fast = { signal: 'light', of: 'light', rate: 20e3 } as const;

    it('repeats the stimulus for records of another rate or window that overlap', () => {
      expect(signalsOf([current, fast, busy], single)).toEqual([
        ['channel-current', 'busy'],
        ['light'],
      ]);
      expect(signalsOf([busy, { ...fast, rate: 10e3, during: 'late' }], single)).toEqual([
        ['busy'],
        ['light'],
      ]);
      const passes = passesOf(routeCaptures([current, fast], single, alcove6, plan));
      expect(passes.flatMap(({ routes }) => routes).map(({ taken }) => taken)).toEqual(
        new Array(7).fill('multiplexed'),
      );
    });

    it('takes them in one pass where one ends before the other begins, or both are one record', () => {
      const early = { ...busy, during: 'early' };
      expect(signalsOf([early, { ...fast, during: 'late' }], single)).toEqual([['busy', 'light']]);
      expect(signalsOf([busy, { ...fast, rate: 10e3 }], single)).toEqual([['busy', 'light']]);
    });

    it('does so on no other digitiser', () => {
      expect(signalsOf([current, fast, busy], simulated)).toEqual([
        ['channel-current', 'light', 'busy'],
      ]);
    });
  });
});
