import { describe, expect, it } from 'vitest';
import type { LimitsSource } from '../../../harness/plan/plan.ts';
import { limitsFor } from '../../../harness/run/judge/derived-limits.ts';
import { lamp } from './bench-of.ts';

const show = (value: number) => `${value.toFixed(3)} A`;

describe('limits', () => {
  it('that the spec states are taken as they are', () => {
    const source = { lower: 1, upper: 2, target: null, text: '1 A to 2 A' };
    expect(limitsFor(source, lamp, 'warm', show)).toBe(source);
  });

  it.each([
    [{ relative: 0.1, absolute: null }, 0.055],
    [{ relative: null, absolute: 0.02 }, 0.02],
    [{ relative: 0.1, absolute: 0.02 }, 0.02],
    [{ relative: null, absolute: null }, 0],
  ] as const)('about a figure of the lamp file lie half a width apart (%o)', (width, half) => {
    const source: LimitsSource = { derived: 'channel.max-current', ...width, text: '± some' };
    expect(limitsFor(source, lamp, 'warm', show)).toEqual({
      lower: expect.closeTo(0.55 - half, 12),
      upper: expect.closeTo(0.55 + half, 12),
      target: 0.55,
      text: '0.550 A (± some)',
    });
    expect(limitsFor(source, lamp, 'cool', show)).toMatchObject({ target: 0.7 });
  });

  it('do not turn over about a figure below zero', () => {
    const below = { ...lamp, channels: [{ ...lamp.channels[0]!, maxCurrent: -2 }] };
    const source = { derived: 'channel.max-current', relative: 0.1, absolute: null, text: '' };
    expect(limitsFor(source, below, 'warm', show)).toMatchObject({
      lower: expect.closeTo(-2.2, 12),
      upper: expect.closeTo(-1.8, 12),
    });
  });

  it('that the lamp file does not tell are missing, with the reason', () => {
    const source = { derived: 'stage.colour', relative: 0.1, absolute: null, text: '' };
    expect(limitsFor(source, lamp, 'warm', show)).toEqual({
      missing: 'the lamp file has no figure stage.colour',
    });
  });
});
