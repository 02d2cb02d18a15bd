import { describe, expect, it } from 'vitest';
import { afterglowTime } from '../../../harness/measure/metrics/level/afterglow-time.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { lengthOf, observe, recordOf, steps } from '../lamp-of.ts';
import { found, refused } from '../well-formed.ts';

const smoothing = 1 / 256;

function observed(
  levels: Parameters<typeof steps>[0],
  really: (t: number) => number,
  change: Partial<Observation>,
  rate = 4096,
): Observation {
  const segments = steps(levels);
  const waveform = recordOf(really, lengthOf(segments), { rate });
  return observe(afterglowTime, [{ channel: 'warm', segments, waveform }], 'warm', change);
}

describe('an afterglow', () => {
  it('begins where the command last went from lit to dark', () => {
    const levels = [
      [1, 0.5],
      [0, 0.125],
      [1, 0.125],
      [0, 0.125],
      [1, 0.125],
      // Off at 1 s; what follows repeats the dark, or is not obeyed.
      [0, 0.25],
      [0, 0.25],
      [1, 0.25],
      [0.5, 0.25],
    ] as const;
    const change = {
      reference: { from: 0, to: 0.375 },
      window: { from: 0.4375, to: 2 },
      parameters: { smoothing },
    };
    const { value, evidence } = found(
      afterglowTime,
      observed(levels, (t) => (t < 1.125 ? 1 : 0), change),
    );
    expect(evidence.notes['off']).toBe(1);
    expect(Math.abs(value - 0.125)).toBeLessThan(smoothing / 2);
    expect(evidence.charts).toHaveLength(1);
  });

  const off = [
    [1, 0.5],
    [0, 0.5],
  ] as const;
  const windows = { reference: { from: 0, to: 0.5 }, window: { from: 0.5, to: 1 } };

  it('ends at the threshold that is asked for (closed form)', () => {
    const glow = (t: number) => (t < 0.5 ? 1 : Math.exp(-(t - 0.5) / 0.03));
    const parameters = { threshold: 0.1, smoothing };
    const { value } = found(afterglowTime, observed(off, glow, { ...windows, parameters }));
    expect(value).toBeCloseTo(0.03 * Math.log(10), 3);
  });

  it('that only the first average shows ends in its middle', () => {
    // Five of its sixteen samples are lit: u - sin 2πu / 2π = 0.165 at u = 5/16, and 0.04 an eighth later.
    const short = (t: number) => (t < 0.5 + 5 / 4096 ? 1 : 0);
    const parameters = { threshold: 0.1, smoothing };
    const { value } = found(afterglowTime, observed(off, short, { ...windows, parameters }));
    expect(value).toBeCloseTo(smoothing / 2, 9);
  });

  it('needs four samples in an average', () => {
    const dark = (t: number) => (t < 0.5 ? 1 : 0);
    const parameters = { smoothing };
    found(afterglowTime, observed(off, dark, { ...windows, parameters }, 1024));
    refused(afterglowTime, observed(off, dark, { ...windows, parameters }, 1000));
  });
});
