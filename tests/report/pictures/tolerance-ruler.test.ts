import { describe, expect, test } from 'vitest';
import { rulerRange, toleranceRuler } from '../../../harness/report/pictures/tolerance-ruler.ts';
import { finding } from '../sample-record.ts';

const base = {
  metric: 'm',
  title: 'fade duration',
  of: 'warm',
  unit: 's',
  shown: 'ms',
  value: 2,
  expanded: 0.02,
  text: '2 s ± 5 %',
};

describe('the scale', () => {
  test('shows both limits and the value with its whisker', () => {
    const cases = [
      [2, 0.02, 1.9, 2.1],
      [2.4, 0.1, 1.9, 2.1],
      [1.2, 0.02, 1.9, 2.1],
      [0, 0, -0.1, 0.1],
      [0.041, 0.003, null, 0.02],
      [0, 0, null, 0],
      [-3, 0.1, null, 2],
      [5, 0.1, 10, null],
    ] as const;
    for (const [value, expanded, lower, upper] of cases) {
      const { from, to } = rulerRange(value, expanded, lower, upper);
      for (const figure of [value - expanded, value + expanded, lower ?? value, upper ?? value]) {
        expect(figure).toBeGreaterThanOrEqual(from);
        expect(figure).toBeLessThanOrEqual(to);
      }
    }
  });

  test('is logarithmic when value and limit are far apart, straight when they are near', () => {
    expect(rulerRange(0.0001, 0, null, 0.02).log).toBe(true);
    expect(rulerRange(0.01, 0, null, 0.02).log).toBe(false);
    expect(rulerRange(0.0001, 0.001, null, 0.02).log).toBe(false);
    expect(rulerRange(50, 0, 1.9, 2.1).log).toBe(true);
    expect(rulerRange(-50, 0, 1.9, 2.1).log).toBe(false);
  });
});

describe('the picture', () => {
  test('puts the value between the limits in proportion', () => {
    const places = limitPlaces(toleranceRuler(finding({ ...base, lower: 1.9, upper: 2.1 })));
    const [low, high] = [Math.min(...places), Math.max(...places)];
    expect(valuePlace({ ...base, lower: 1.9, upper: 2.1 })).toBeCloseTo((low + high) / 2, 0);
    expect(valuePlace({ ...base, value: 1.95, lower: 1.9, upper: 2.1 })).toBeCloseTo(
      low + (high - low) / 4,
      0,
    );
  });

  test('the guard band is U wide inside each limit, under the guarded rule only', () => {
    const made = { ...base, lower: 1.9, upper: 2.1 };
    const guarded = String(toleranceRuler(finding(made)));
    const [allowed, inside] = ['allowed', 'inside'].map((name) =>
      Number(new RegExp(`class="${name}"[^>]* width="([^"]*)"`).exec(guarded)?.[1]),
    );
    expect(inside! / allowed!).toBeCloseTo((0.2 - 2 * 0.02) / 0.2, 2);
    expect(String(toleranceRuler({ ...finding(made), rule: 'simple' }))).not.toContain('inside');
  });

  test('a value off the scale is an arrow at its end, not a shape at a wrong place', () => {
    const html = String(toleranceRuler(finding({ ...base, value: -50, lower: 1.9, upper: 2.1 })));
    expect(html).toContain('class="mark" d="M1 12l8 -5v10z"');
  });

  test('a finding without value or without limit has no ruler', () => {
    expect(toleranceRuler(finding(base))).toBeNull();
    const unmeasured = {
      ...finding({ ...base, upper: 3 }),
      outcome: { measured: false as const, reason: 'dark' },
    };
    expect(toleranceRuler(unmeasured)).toBeNull();
  });

  test('says in words what it shows, and limits carry the unit people read', () => {
    const html = String(toleranceRuler(finding({ ...base, lower: 1.9, upper: 2.1 })));
    expect(html).toContain('aria-label="fade duration 2000 ± 20 ms, allowed 2 s ± 5 %: pass"');
    expect(html).toContain('>1900</text>');
    expect(html).toContain('>2100 ms</text>');
  });

  test('shapes differ by verdict, so colour is never needed', () => {
    const shapes = (['pass', 'fail', 'inconclusive', 'error'] as const).map((verdict) =>
      String(toleranceRuler(finding({ ...base, lower: 1.9, upper: 2.1, verdict }))).replace(
        /class="[^"]*"|aria-label="[^"]*"/g,
        '',
      ),
    );
    expect(new Set(shapes).size).toBe(4);
  });
});

function limitPlaces(ruler: unknown): number[] {
  return [...String(ruler).matchAll(/class="limit" d="M([\d.]+) /g)].map(([, place]) =>
    Number(place),
  );
}

/** The disc of a pass starts at its left edge, its radius (5) before its middle. */
function valuePlace(made: Parameters<typeof finding>[0]): number {
  const html = String(toleranceRuler(finding(made)));
  return Number(/class="mark" d="M([\d.]+) 12a/.exec(html)?.[1]) + 5;
}
