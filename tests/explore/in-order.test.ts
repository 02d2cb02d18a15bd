import { expect, it } from 'vitest';
import type { Heard } from '../../harness/bench/heard.ts';
import { inOrder } from '../../harness/explore/in-order.ts';
import { lookedAt } from '../../harness/explore/looked-at.ts';

const frame = (at: number, value = 1): Heard => ({ kind: 'dmx', at, startCode: 0, slots: [value] });
const dali = (at: number): Heard => ({ kind: 'dali', at, frame: [0xff, 5] });

it('tells a loss behind the last frame before a gap, and behind the last of all', () => {
  expect(inOrder([frame(2), frame(0), frame(0.4)]).map(({ kind, at }) => [kind, at])).toEqual([
    ['dmx', 0],
    ['dmx', 0.4],
    ['dmx-stops', 0.4],
    ['dmx', 2],
    ['dmx-stops', 2],
  ]);
});

it('keeps of a run of equal frames what says when it began and ended', () => {
  const run = [0, 0.1, 0.2, 0.3, 0.4].map((at) => frame(at));
  expect(inOrder(run).map(({ at }) => at)).toEqual([0, 0.1, 0.4, 0.4]);
  expect(inOrder([...run, frame(0.5, 2)]).map(({ at }) => at)).toEqual([0, 0.1, 0.4, 0.5, 0.5]);
});

it('keeps the frame that comes again after another link has spoken', () => {
  const times = inOrder([frame(0), frame(0.1), dali(0.15), frame(0.2), frame(0.3), frame(0.4)]);
  expect(times.map(({ at }) => at)).toEqual([0, 0.1, 0.15, 0.2, 0.3, 0.4, 0.4]);
});

it('looks at the whole of a short story, and about the events of one that rests for hours', () => {
  const step = 1e-3;
  expect(lookedAt([dali(1)], 60, step)).toEqual([{ from: 0, count: 60_000 }]);
  const looks = lookedAt([dali(1), dali(7200)], 7300, step);
  const isSeen = (at: number) =>
    looks.some(({ from, count }) => at >= from && at < from + count * step);
  expect([0.5, 1.5, 5.5, 7199.99, 7200.5, 7204.9, 7299.5].filter((at) => !isSeen(at))).toEqual([]);
  expect(isSeen(4000)).toBe(false);
  expect(looks.reduce((sum, { count }) => sum + count, 0)).toBeLessThan(25_000);
});
