import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { levelOfPosition, levelValue, slotsOf } from '../../../drivers/dmx/slots.ts';
import { streamFade } from '../../../drivers/dmx/stream-fade.ts';
import { frameTime } from '../../../harness/bench/dmx-timing.ts';
import { slotCount } from '../../../harness/bench/lamp.ts';
import { channelNames, target } from '../plant/firmware/alcove.ts';

const curve = { kind: 'logarithmic', bottom: 0.001 } as const;

test('a full frame takes 22.7 ms: 513 slots of 44 µs and break and mark (ANSI E1.11, arithmetic)', () => {
  expect(frameTime(512) * 1e3).toBeCloseTo(22.572 + 0.188, 3);
  expect(1 / frameTime(512)).toBeLessThan(44.1);
});

describe('slots', () => {
  test('16 bit goes coarse first, from the first slot on', () => {
    const link = { firstSlot: 3, bits: 16, onLoss: 'hold' } as const;
    const slots = slotsOf(link, channelNames, curve, target(1, { warm: 0.5 }));
    expect(slotCount(link, 6)).toBe(14);
    expect([...slots.subarray(0, 8)]).toEqual([0, 0, 255, 255, 0x80, 0x00, 0, 0]);
    expect(slots).toHaveLength(16);
  });

  test('8 bit: 0 is off, 1 the bottom, 255 full', () => {
    expect([0, 0.001, 1].map((level) => levelValue(level, 255, curve))).toEqual([0, 1, 255]);
    expect(levelValue(1e-6, 255, curve)).toBe(1);
  });

  test('a level survives 16 bit to 1/10000 of itself', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 1, noNaN: true }), (level) => {
        const value = levelValue(level, 65535, curve);
        expect(levelOfPosition((value - 1) / 65534, curve) / level).toBeCloseTo(1, 3.9);
      }),
    );
  });
});

describe('a fade made of frames', () => {
  test('every channel is geometric in level x intensity', () => {
    const from = target(1, { warm: 0.8, red: 0.1 });
    const to = target(0.1, { warm: 0.1, red: 1 });
    const half = streamFade(from, to, 0.5, curve);
    expect(half.level * half.intensities['warm']!).toBeCloseTo(Math.sqrt(0.8 * 0.01), 9);
    expect(half.level * half.intensities['red']!).toBeCloseTo(0.1, 9);
    expect(half.intensities['cool']).toBe(0);
  });

  test('dark ends count as the bottom and are dark at the end only', () => {
    const fade = (progress: number) =>
      streamFade(target(0, {}), target(1, { warm: 1 }), progress, curve);
    const start = fade(0);
    expect(start.level * start.intensities['warm']!).toBeCloseTo(0.001, 9);
    const off = streamFade(target(1, { warm: 1 }), target(0, { warm: 1 }), 0.999999, curve);
    expect(off.level * off.intensities['warm']!).toBeCloseTo(0.001, 6);
    expect(streamFade(target(1, { warm: 1 }), target(0, { warm: 1 }), 1, curve).level).toBe(0);
  });

  test('intensities never leave 0..1', () => {
    const ratio = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(ratio, ratio, ratio, ratio, ratio, (a, b, c, d, progress) => {
        const mid = streamFade(target(a, { warm: b }), target(c, { warm: d }), progress, curve);
        expect(mid.intensities['warm']).toBeGreaterThanOrEqual(0);
        expect(mid.intensities['warm']).toBeLessThanOrEqual(1);
      }),
    );
  });
});
