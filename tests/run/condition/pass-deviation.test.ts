import { describe, expect, it } from 'vitest';
import type { Commanded } from '../../../harness/measure/observation.ts';
import { passDeviation } from '../../../harness/run/condition/pass-deviation.ts';

function story(mark: number, turn: number): Commanded {
  const level = (from: number, to: number, at: number) => ({
    from,
    to,
    startLevel: at,
    endLevel: at,
  });
  return {
    channels: [
      {
        channel: 'warm',
        lumen: 100,
        xy: [0.45, 0.41],
        maxCurrent: 0.7,
        segments: [level(0, turn, 1), level(turn, 1, 0.5)],
      },
    ],
    marks: [{ name: 'low', at: mark }],
    duration: 1,
    curve: { kind: 'logarithmic', bottom: 0.001 },
  };
}

describe('the time line of a later pass', () => {
  it('is none apart from one that is the same', () => {
    expect(passDeviation(story(0.5, 0.4), story(0.5, 0.4), 'digitiser')).toBe(0);
  });

  it('is as far from the first as the mark or the command that is farthest', () => {
    expect(passDeviation(story(0.5, 0.4), story(0.53, 0.4), 'digitiser')).toBeCloseTo(0.03, 9);
    expect(passDeviation(story(0.5, 0.4), story(0.51, 0.36), 'digitiser')).toBeCloseTo(0.04, 9);
  });

  it('does not fit where a window moved: an error of the bench, with how far', () => {
    expect(() => passDeviation(story(0.5, 0.4), story(0.8, 0.4), 'digitiser')).toThrow(
      /came 0\.30 s earlier or later than the first/,
    );
  });
});
