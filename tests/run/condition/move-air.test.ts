import { expect, it } from 'vitest';
import type { OpenBench } from '../../../harness/bench/ports.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { moveAir } from '../../../harness/run/ambient/move-air.ts';

/** What a chamber was told, and when, on a clock that jumps to what is waited for. */
function place(kind: 'virtual' | 'real') {
  const told: [at: number, celsius: number][] = [];
  let now = 100;
  const clock = {
    kind,
    now: () => now,
    waitUntil: async (instant: number) => void (now = Math.max(now, instant)),
  };
  const chamber = {
    ...{ kind: 'chamber', name: 'air' },
    set: async ({ celsius }: { celsius: number }) => void told.push([now - 100, celsius]),
  };
  const air = { celsius: 20, watch: null };
  const bench = { clock, instruments: new Map([['air', chamber]]) } as unknown as OpenBench;
  const rig = { rig: 'r', chamber: { instrument: 'air' } } as unknown as Rig;
  const callOn = () => ({ signal: new AbortController().signal, deadline: 1 });
  return { told, air, place: { bench, rig, air, callOn }, passed: () => now - 100 };
}

it('takes simulated air there second by second, and ends when the ramp does', async () => {
  const { told, air, place: where, passed } = place('virtual');
  expect(await moveAir({ celsius: 24, over: 4 }, where)).toBe('air');
  expect(told).toEqual([
    [0, 21],
    [1, 22],
    [2, 23],
    [3, 24],
  ]);
  expect(passed()).toBe(4);
  expect(air.celsius).toBe(24);
  await moveAir({ celsius: 23, over: 0.5 }, where);
  expect(told.at(-1)).toEqual([4, 23]);
});

it('gives a real chamber a set point every ten seconds, in tenths of a kelvin', async () => {
  const { told, place: where } = place('real');
  await moveAir({ celsius: 21, over: 30 }, where);
  expect(told.map(([at]) => at)).toEqual([0, 10, 20]);
  expect(told.map(([, celsius]) => celsius.toFixed(6))).toEqual([
    '20.300000',
    '20.700000',
    '21.000000',
  ]);
});

it('is refused without a chamber', async () => {
  const { place: where } = place('virtual');
  const rig = { rig: 'r' } as unknown as Rig;
  await expect(moveAir({ celsius: 24, over: 4 }, { ...where, rig })).rejects.toThrow(
    'rig r has no chamber',
  );
});
