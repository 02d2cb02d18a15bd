import { describe, expect, it } from 'vitest';
import { plateausIn } from '../../../harness/measure/features/level/plateaus.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { deadZone } from '../../../harness/measure/metrics/level/dead-zone.ts';
import { longestBlackout } from '../../../harness/measure/metrics/level/event-length.ts';
import { hysteresis } from '../../../harness/measure/metrics/level/hysteresis.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { levelAt, observe, recordOf, steps } from '../lamp-of.ts';
import { found } from '../well-formed.ts';

/** Half a second of each level, which rises by `rise` of itself meanwhile. */
function swept(
  metric: Metric,
  commanded: readonly number[],
  really: readonly number[],
  rise = 0,
): Observation {
  const segments = steps(commanded.map((level) => [level, 0.5]));
  const light = (t: number) => {
    const place = Math.min(really.length - 1, Math.floor(2 * t));
    return (really[place] ?? 0) * (1 + rise * (2 * t - place - 0.7));
  };
  const waveform = recordOf(light, commanded.length / 2, { rate: 2048 });
  return observe(metric, [{ channel: 'warm', segments, waveform }], 'warm');
}

const widest = (...[commanded, really, rise]: [number[], number[], number?]) =>
  found(deadZone, swept(deadZone, commanded, really, rise)).value;

describe('a dead zone', () => {
  it('begins anew where the sweep turns', () => {
    // Up by a factor of 2, then down by 2 and 2 again: 4 - 1.
    expect(widest([0.1, 0.2, 0.1, 0.05], [0.1, 0.1, 0.1, 0.1])).toBeCloseTo(3, 9);
  });

  it('holds no step between the dark and light, whichever way the light goes', () => {
    expect(widest([0.4, 0.2, 0.1], [0.4, 0.2, 0])).toBe(0);
    expect(widest([0.4, 0.2, 0.1], [0, 0.2, 0.1])).toBe(0);
    expect(widest([0.1, 0.2, 0.4], [0.1, 0.2, 0])).toBe(0);
  });

  it('is told from the scatter of the brighter of two levels', () => {
    // 0.26 % of the brighter one, to ask for a step of 0.5 %; of the dimmer one it were 5 %, more than the 2 % of the step.
    expect(widest([0.1, 0.102, 0.4], [0.1, 1, 4], 0.01)).toBe(0);
  });
});

it('hysteresis is that of the pair that differs the most, not of the last', () => {
  const { value, evidence } = found(
    hysteresis,
    swept(hysteresis, [0.1, 0.2, 0.4, 0.8, 0.4, 0.2], [0.1, 0.2, 0.4, 0.8, 0.4, 0.3]),
  );
  expect(value).toBeCloseTo(0.1 / 0.25, 9);
  expect(evidence.notes).toEqual({ pairs: 2, 'at-level': 0.2 });
});

it('a stretch of fewer than eight settled samples is no plateau', () => {
  const segments = steps([
    [1, 0.5],
    [0.5, 0.01],
    [0.25, 0.5],
  ]);
  // Six samples behind the first 40 % of 10 ms.
  const waveform = recordOf((t) => levelAt(segments, t), 1.01, { rate: 1000 });
  const all = plateausIn(observe(deadZone, [{ channel: 'warm', segments, waveform }], 'warm'));
  expect(all).toMatchObject([{ commanded: 1 }, { commanded: 0.25 }]);
  expect(all).toHaveLength(2);
});

it('the longest blackout may come last, and is shown', () => {
  const segments = steps([[1, 2]]);
  const light = (t: number) => ((t > 0.5 && t < 0.505) || (t > 1 && t < 1.01) ? 0 : 1);
  const waveform = recordOf(light, 2, { rate: 20_000 });
  const { value, evidence } = found(
    longestBlackout,
    observe(longestBlackout, [{ channel: 'warm', segments, waveform }], 'warm'),
  );
  expect(value).toBeCloseTo(0.01, 3);
  expect(evidence.notes['at']).toBeCloseTo(1, 2);
  expect(evidence.charts).toHaveLength(1);
});
