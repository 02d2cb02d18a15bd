import { describe, expect, it } from 'vitest';
import { dropouts } from '../../../harness/measure/metrics/level/dropouts.ts';
import { levelDrift } from '../../../harness/measure/metrics/level/level-drift.ts';
import { lowestStableLevel } from '../../../harness/measure/metrics/level/lowest-stable-level.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { levelAt, type Made, observe, recordOf, steps } from '../lamp-of.ts';
import { found, refused } from '../well-formed.ts';

/** Levels of a second each; `really` is what the lamp gives instead. */
function swept(
  levels: readonly number[],
  really: (level: number, t: number) => number = (level) => level,
  made: Made = {},
  change: Partial<Observation> = {},
): Observation {
  const segments = steps(levels.map((level) => [level, 1]));
  const light = (t: number) => really(levelAt(segments, t), t);
  const waveform = recordOf(light, levels.length, made);
  return observe(lowestStableLevel, [{ channel: 'warm', segments, waveform }], 'warm', change);
}

const lowest = (...asked: Parameters<typeof swept>) => found(lowestStableLevel, swept(...asked));
const none = (...asked: Parameters<typeof swept>) => refused(lowestStableLevel, swept(...asked));

describe('the lowest stable level', () => {
  it('lies above an unstable one, whatever the order of the sweep', () => {
    const wobble = (level: number, t: number) =>
      level === 0.5 ? level * (1 + 0.2 * Math.sin(20 * t)) : level;
    const { value, evidence } = lowest([0.1, 0.5, 1], wobble);
    expect(value).toBeCloseTo(1, 9);
    expect(evidence.notes).toEqual({ 'first-instability': 'noise', 'commanded-level': 1 });
  });

  it('names what ends it: the dark, or a dropout', () => {
    const dark = lowest([1, 0.5, 0.1], (level) => (level < 0.2 ? 0 : level));
    expect(dark.value).toBeCloseTo(0.5, 9);
    expect(dark.evidence.notes['first-instability']).toBe('dark');
    const drop = lowest([1, 0.5, 0.1], (level, t) => (t > 2.6 && t < 2.7 ? 0 : level));
    expect(drop.value).toBeCloseTo(0.5, 9);
    expect(drop.evidence.notes['first-instability']).toBe('dropout');
  });

  it('is refused in words', () => {
    expect(none([0])).toEqual({
      measured: false,
      reason: 'out-of-domain',
      note: 'no steady level in the window',
    });
    expect(none([0, 1, 0.5], () => 0)).toMatchObject({
      reason: 'dark',
      note: 'no light at full level',
    });
    // Ten averages of 0.2 s do not fit into the settled part of a second.
    expect(none([1, 0.5], undefined, {}, { parameters: { smoothing: 0.2 } }).reason).toBe(
      'too-short',
    );
    const reference = { from: 3, to: 4 };
    const beyond = none([1, 0.5], undefined, {}, { reference });
    expect(beyond.reason).toBe('empty');
  });

  it('takes out the noise of the sensor, as long as that is below the limit', () => {
    // Of an average over 500 samples: 0.01 √(1.5 / 500) = 5.48e-4, of the level 0.03 1.8 %, of 0.01 5.5 %.
    const made = { noise: 0.01 };
    expect(lowest([1, 0.03], undefined, made).evidence.notes['commanded-level']).toBe(0.03);
    const lost = none([1, 0.01], undefined, made);
    expect(lost).toEqual({
      measured: false,
      reason: 'below-noise',
      found: 0.02,
      needed: expect.closeTo(0.0548, 2),
      unit: '1',
      note: 'noise of the sensor',
    });
  });
});

describe('dropouts of rippling light', () => {
  it('are counted once each, those of the averages and those of the samples, in order of time', () => {
    const dims = (t: number) => (t > 0.5 && t < 0.6) || (t > 1.4 && t < 1.5);
    const light = (t: number) =>
      t > 1 && t < 1.003 ? 0 : (dims(t) ? 0.45 : 1) * (1 + 0.9 * Math.cos(2000 * Math.PI * t));
    const segments = steps([[1, 2]]);
    const waveform = recordOf(light, 2);
    const { value, evidence } = found(
      dropouts,
      observe(dropouts, [{ channel: 'warm', segments, waveform }], 'warm'),
    );
    expect(value).toBe(3);
    expect(evidence.notes['first']).toBeCloseTo(0.5, 1);
    expect(evidence.charts).toHaveLength(1);
  });
});

it('a drift shows the course of the level', () => {
  const segments = steps([[1, 2]]);
  const waveform = recordOf((t) => 1 + 0.01 * t, 2);
  const { evidence } = found(
    levelDrift,
    observe(levelDrift, [{ channel: 'warm', segments, waveform }], 'warm'),
  );
  expect(evidence.charts.map(({ title }) => title)).toEqual(['Steady level']);
});
