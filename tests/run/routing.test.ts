import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import type { Rig } from '../../harness/bench/rig.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import { routeCaptures } from '../../harness/run/routing.ts';

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
    const passes = passesOf(routeCaptures([current], simulated, alcove6));
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
    const passes = passesOf(routeCaptures([current], withCurrentInputs(4), alcove6));
    expect(passes.map(({ routes }) => routes.map(({ of }) => of))).toEqual([
      ['warm', 'cool', 'red', 'lime'],
      ['cyan', 'indigo'],
    ]);
    expect(
      passes.flatMap(({ routes }) => routes).every(({ taken }) => taken === 'multiplexed'),
    ).toBe(true);
  });

  it('lights one channel at a time where a single photodiode has to see them apart', () => {
    const passes = passesOf(routeCaptures([light], simulated, alcove6));
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
    const routing = routeCaptures([current], withCurrentInputs(0), alcove6);
    expect(routing).toEqual({
      impossible:
        'rig simulated has no input for channel-current of warm; add a line to its wiring, or leave the claim to a rig that has one',
    });
  });

  it('runs the stimulus once even when nothing is recorded', () => {
    expect(passesOf(routeCaptures([], simulated, alcove6))).toEqual([{ solo: null, routes: [] }]);
  });
});
