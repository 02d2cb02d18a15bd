import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { TimeLeft } from '../../harness/cli/running/time-left.ts';

interface Recorded {
  readonly expected: readonly (readonly [spec: string, key: string, cost: number])[];
  readonly events: readonly (readonly [at: number, place: number, lane: number])[];
}

/** What was said after each event, and what was true. */
function told(
  name: string,
): { readonly share: number; readonly left: number; readonly truth: number }[] {
  const path = join(import.meta.dirname, 'recorded-progress', `${name}.json`);
  const { expected, events }: Recorded = JSON.parse(readFileSync(path, 'utf8'));
  const left = new TimeLeft(expected.map(([spec, key, cost]) => ({ spec, key, cost })));
  const whole = Math.max(...events.map(([at]) => at));
  return events.flatMap(([at, place, lane]) => {
    const [spec = '', key = ''] = expected[place] ?? [];
    if (lane < 0) left.ended({ spec, key }, at);
    else left.begun({ spec, key, lane, at });
    const said = left.left(at);
    return said === null ? [] : [{ share: at / whole, left: said, truth: whole - at }];
  });
}

/** Below this the figure is no more than its rounding, s. */
const last = 2;

describe.each(['two-lanes', 'one-lane'])('the time left in a recorded run: %s', (name) => {
  const all = told(name);
  const judged = all.filter(({ share }) => share >= 0.2);

  it('is within a quarter of the truth from a fifth of the run on', () => {
    expect(judged.length).toBeGreaterThan(300);
    const off = judged
      .filter(({ left, truth }) => Math.abs(left - truth) > Math.max(0.25 * truth, last))
      .map(
        ({ share, left, truth }) =>
          `${share.toFixed(2)}: ${left.toFixed(1)} for ${truth.toFixed(1)}`,
      );
    expect(off).toEqual([]);
  });

  it('does not climb', () => {
    let lowest = Number.POSITIVE_INFINITY;
    for (const { left } of judged) {
      expect(left).toBeLessThanOrEqual(1.05 * lowest);
      lowest = Math.min(lowest, left);
    }
  });
});

describe('the time left', () => {
  it('is not told before anything has ended', () => {
    const left = new TimeLeft([{ spec: 'a', key: '', cost: 1 }]);
    expect(left.left(0)).toBeNull();
    left.begun({ spec: 'a', key: '', lane: 0, at: 0 });
    expect(left.left(1)).toBeNull();
  });

  it('takes a claim’s own conditions for its measure', () => {
    const key = (place: number) => `level=${place} %`;
    const expected = [1, 2, 3, 4].flatMap((place) => [
      { spec: 'slow', key: key(place), cost: 1 },
      { spec: 'quick', key: key(place), cost: 1 },
    ]);
    const left = new TimeLeft(expected);
    left.begun({ spec: 'slow', key: key(1), lane: 0, at: 0 });
    left.ended({ spec: 'slow', key: key(1) }, 10);
    left.begun({ spec: 'quick', key: key(1), lane: 0, at: 10 });
    left.ended({ spec: 'quick', key: key(1) }, 11);
    expect(left.left(11)).toBeCloseTo(33);
  });

  it('rises where everything takes far longer than what ended before', () => {
    const specs = ['a', 'b', 'c', 'd', 'e', 'f'];
    const left = new TimeLeft(specs.map((spec) => ({ spec, key: '', cost: 1 })));
    let at = 0;
    const run = (spec: string, takes: number) => {
      left.begun({ spec, key: '', lane: 0, at });
      at += takes;
      left.ended({ spec, key: '' }, at);
      return left.left(at) ?? 0;
    };
    const before = run('a', 1);
    run('b', 20);
    run('c', 20);
    expect(run('d', 20)).toBeGreaterThan(before);
  });
});
