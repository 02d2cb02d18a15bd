import { describe, expect, it } from 'vitest';
import { tristimulus } from '../../../../drivers/plant/optics/channel-light.ts';

describe('The mixing of channels', () => {
  it('adds tristimulus values: 60 lm of (.4578, .4101) and 40 lm of (.3123, .3283) (computed)', () => {
    const warm = tristimulus(60, 0.4578, 0.4101);
    const cool = tristimulus(40, 0.3123, 0.3283);
    const X = warm.X + cool.X;
    const Y = warm.Y + cool.Y;
    const Z = warm.Z + cool.Z;
    expect(X).toBeCloseTo(105.02935, 5);
    expect(Y).toBe(100);
    expect(Z).toBeCloseTo(63.11621, 5);
    expect(X / (X + Y + Z)).toBeCloseTo(0.391688, 6);
    expect(Y / (X + Y + Z)).toBeCloseTo(0.372932, 6);
  });

  it('mixes D65 from three full-scale channels at the worked weights (computed)', () => {
    const channels = [
      tristimulus(30 * 0.466522, 0.69, 0.31),
      tristimulus(80 * 0.41277, 0.17, 0.7),
      tristimulus(12 * 0.248561, 0.14, 0.05),
    ];
    const sum = (component: 'X' | 'Y' | 'Z'): number =>
      channels.reduce((s, c) => s + c[component], 0);
    const all = sum('X') + sum('Y') + sum('Z');
    expect(sum('Y')).toBeCloseTo(50, 3);
    expect(sum('X') / all).toBeCloseTo(0.3127, 5);
    expect(sum('Y') / all).toBeCloseTo(0.329, 5);
  });
});
