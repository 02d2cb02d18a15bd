import { describe, expect, test } from 'vitest';
import { ReferenceFirmware } from '../../../../drivers/plant/firmware/reference.ts';
import { healthyFirmware } from '../../../../drivers/plant/firmware/traits.ts';
import { alcove } from './alcove.ts';
import { BareLamp } from './bare-lamp.ts';

function booted(): BareLamp {
  const lamp = new BareLamp(new ReferenceFirmware(alcove, healthyFirmware));
  lamp.run(0.4);
  return lamp;
}

describe('console', () => {
  test('a fresh lamp is dark, and idle once it has started', () => {
    const lamp = booted();
    expect(lamp.drives).toEqual([0, 0, 0, 0, 0, 0]);
    expect(lamp.idle).toBe(true);
  });

  test('dim level times intensity is the brightness', () => {
    const lamp = booted();
    expect(lamp.say('dim 50 mix 100 40 0 0 0 12.5')).toBe('ok\r\n');
    expect(lamp.light(0)).toBeCloseTo(0.5, 5);
    expect(lamp.light(1)).toBeCloseTo(0.2, 5);
    expect(lamp.light(2)).toBe(0);
    expect(lamp.light(5)).toBeCloseTo(0.0625, 5);
  });

  test('near the bottom, codes take turns: 0.1 % of 10 % is 6.55 of 65536 within an eighth of a code', () => {
    const lamp = booted();
    lamp.say('dim 0.1 mix 10 100 0 0 0 0');
    expect(lamp.light(0) * 65536).toBeCloseTo(6.5536, 0.9);
    expect(Math.abs(lamp.light(0) * 65536 - 6.5536)).toBeLessThan(1 / 16);
    expect(Math.abs(lamp.light(1) * 65536 - 65.536)).toBeLessThan(1 / 16);
    const seen = new Set<number>();
    lamp.run(0.02, () => seen.add(lamp.drives[0]!));
    expect([...seen].sort()).toEqual([6, 7]);
  });

  test('a fade is geometric, and every channel arrives in the same tick', () => {
    const lamp = booted();
    lamp.say('dim 100 mix 80 10 5 0 0 0');
    lamp.run(0.01);
    lamp.say('fade 2000 dim 100 mix 10 65 30 0 0 0');
    lamp.run(1);
    const half = [Math.sqrt(0.8 * 0.1), Math.sqrt(0.1 * 0.65), Math.sqrt(0.05 * 0.3)];
    half.forEach((value, channel) => {
      expect(lamp.drives[channel]! / 65536 / value).toBeCloseTo(1, 2);
    });
    const arrivals = [0, 0, 0];
    const ends = [0.1, 0.65, 0.3].map((value) => Math.round(value * 65536));
    lamp.run(1.1, (time) => {
      ends.forEach((end, channel) => {
        if (lamp.drives[channel] === end && !arrivals[channel]) arrivals[channel] = time;
      });
    });
    expect(new Set(arrivals).size).toBe(1);
    expect(arrivals[0]).toBeCloseTo(2.41, 2);
    expect(lamp.idle).toBe(true);
  });

  test('a fade from dark starts at the floor, a fade to dark ends there and goes off', () => {
    const lamp = booted();
    lamp.say('fade 1000 dim 100 mix 100 0.05 0 0 0 0');
    lamp.run(0.001);
    expect(lamp.drives[0]! / 65536).toBeCloseTo(0.001, 4);
    expect(lamp.light(1)).toBeCloseTo(0.0005, 5);
    lamp.run(1.2);
    lamp.say('fade 1000 dim 0 mix 100 0.05 0 0 0 0');
    let lowest = 1;
    lamp.run(1.1, () => {
      if (lamp.drives[0]! > 0) lowest = Math.min(lowest, lamp.drives[0]! / 65536);
    });
    expect(lowest).toBeCloseTo(0.001, 4);
    expect(lamp.drives[0]).toBe(0);
  });

  test('a new order in mid-fade goes on from the present light', () => {
    const lamp = booted();
    lamp.say('dim 100 mix 100 0 0 0 0 0');
    lamp.run(0.01);
    lamp.say('fade 1000 dim 1 mix 100 0 0 0 0 0');
    lamp.run(0.5);
    const before = lamp.drives[0]!;
    lamp.say('fade 1000 dim 100 mix 100 0 0 0 0 0');
    lamp.run(0.002);
    expect(lamp.drives[0]! / before).toBeCloseTo(1, 1);
  });

  test.each([
    ['nonsense', 'no unknown command'],
    ['dim 50 mix 1 2 3', 'no 6 intensities wanted'],
    ['dim 101 mix 1 2 3 4 5 6', 'no per cent out of range'],
    [`dim ${'0'.repeat(300)}`, 'no line longer than 255 bytes'],
  ])('%s is refused: %s', (line, reply) => {
    const lamp = booted();
    expect(lamp.say(line)).toBe(`${reply}\r\n`);
    expect(lamp.light(0)).toBe(0);
  });

  test('the last light comes back after a restart and after a power loss', () => {
    const lamp = booted();
    lamp.say('dim 25 mix 100 0 0 0 0 0');
    lamp.run(0.01);
    expect(lamp.say('restart')).toBe('ok\r\n');
    lamp.run(0.01);
    expect(lamp.drives[0]).toBe(0);
    lamp.run(0.4);
    expect(lamp.drives[0]).toBe(16384);
    lamp.restart();
    lamp.run(0.4);
    expect(lamp.drives[0]).toBe(16384);
  });

  test('a lamp of 60 channels obeys, too, and brings the light of the first 40 back', () => {
    const channels = Array.from({ length: 60 }, (_, index) => ({
      ...alcove.channels[0]!,
      channel: `c${index}`,
    }));
    const firmware = new ReferenceFirmware({ ...alcove, channels }, healthyFirmware);
    const lamp = new BareLamp(firmware, 60);
    lamp.run(0.4);
    expect(lamp.say(`dim 100 mix ${'25 '.repeat(60).trim()}`)).toBe('ok\r\n');
    lamp.run(0.01);
    expect(new Set(lamp.drives)).toEqual(new Set([16384]));
    lamp.restart();
    lamp.run(0.4);
    expect(new Set(lamp.drives.slice(0, 40))).toEqual(new Set([16384]));
    expect(new Set(lamp.drives.slice(40))).toEqual(new Set([65536]));
  });

  test('identifies itself', () => {
    expect(booted().say('who')).toBe('Halden Display Lighting, alcove-6, 0, 1.0.0\r\n');
  });
});
