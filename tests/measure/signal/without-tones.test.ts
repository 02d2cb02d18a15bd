import { describe, expect, it } from 'vitest';
import { lowPass } from '../../../harness/measure/signal/low-pass.ts';
import { withoutTones } from '../../../harness/measure/signal/without-tones.ts';

const count = 1500;

/** A slope from 3 to 4 with two tones, cycles a sample. */
function record() {
  return Float64Array.from(
    { length: count },
    (_, k) =>
      3 +
      k / count +
      0.5 * Math.cos(2 * Math.PI * 0.0713 * k + 1) +
      0.2 * Math.cos(2 * Math.PI * 0.1207 * k),
  );
}

const farthest = 0.5 / count;
const mean = 3.5;

describe('a record without its tones', () => {
  it('has its slow course left', () => {
    const { tones, lowPass: filter } = withoutTones(record(), {
      mean,
      near: [0.0714, 0.1206],
      farthest,
    });
    expect(tones.map((tone) => tone?.frequency)).toEqual([
      expect.closeTo(0.0713, 6),
      expect.closeTo(0.1207, 6),
    ]);
    const { values, apart, first } = filter(0.2);
    for (const [k, value] of values.entries())
      expect(Math.abs(value - ((first + k * apart) / count - 0.5))).toBeLessThan(0.01);
  });

  it('keeps a tone that is not where it was looked for', () => {
    const { tones, lowPass: filter } = withoutTones(record(), {
      mean,
      near: [0.0713, 0.1211],
      farthest: 0.0003,
    });
    expect(tones).toEqual([expect.anything(), null]);
    const { values } = filter(0.2);
    // Slope and the weaker tone.
    expect(Math.max(...values)).toBeGreaterThan(0.6);
    expect(Math.max(...values)).toBeLessThan(0.75);
  });

  it('is computed once for clocks that differ, but anew for other tones, means and widths', () => {
    const samples = record();
    const near = [0.0714, 0.1206];
    const found = withoutTones(samples, { mean, near, farthest });
    for (const rate of [1e4, 10_000.37, 9999.21]) {
      const again = near.map((frequency) => (frequency * rate) / rate);
      const same = { mean, near: again, farthest: (farthest * rate) / rate };
      expect(withoutTones(samples, same)).toBe(found);
    }
    expect(withoutTones(samples, { mean, near: [0.0714], farthest }).tones).toHaveLength(1);
    const beside = { mean, near: [0.0714, 0.1205], farthest: 0.0001 };
    expect(withoutTones(samples, beside).tones[1]).toBeNull();
    const wide = withoutTones(samples, { ...beside, farthest: 0.01 });
    expect(wide.tones[1]?.frequency).toBeCloseTo(0.1207, 5);
    const higher = withoutTones(samples, { mean: 3, near, farthest });
    expect(higher.lowPass(0.01).values[9]).toBeCloseTo(
      (found.lowPass(0.01).values[9] ?? 9) + 0.5,
      2,
    );
  });
});

describe('a record that is filtered at several cut-offs', () => {
  it('gives for each what it gives alone', () => {
    const samples = record();
    const filter = lowPass(samples);
    const each = [0.01, 0.1, 0.09, 0.3];
    for (const cutOff of [...each, ...each.reverse()])
      expect(filter(cutOff)).toEqual(lowPass(samples)(cutOff));
  });
});
