import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import type { FirmwareImage } from '../../../../drivers/plant/firmware/firmware-image.ts';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { ReferenceFirmware } from '../../../../drivers/plant/firmware/reference.ts';
import { healthyFirmware } from '../../../../drivers/plant/firmware/traits.ts';
import { buildAlcove, buildAlcoveMainLoop } from '../../../firmware/build-firmware.ts';
import { alcove } from './alcove.ts';
import { BareLamp } from './bare-lamp.ts';

let image: FirmwareImage;
beforeAll(async () => {
  image = await loadFirmware(buildAlcove(), 'alcove');
});

/** What the shipped lamp file says of colours. */
const dali = {
  shortAddress: 5,
  group: 2,
  ...alcove.links.dali,
  rgbwaf: ['red', 'lime', 'indigo', 'cool'],
};
const coloured = { ...alcove, links: { ...alcove.links, dali } };

/** The reference firmware and the example in C, each on its own bare lamp, started. */
function pair(): readonly [BareLamp, BareLamp] {
  const reference = new BareLamp(new ReferenceFirmware(coloured, healthyFirmware));
  const example = new BareLamp(openFirmware(image));
  for (const lamp of [reference, example]) lamp.run(0.4);
  return [reference, example];
}

/** Within 0.5 %, or two steps of the dither (an eighth of a modulator code each), whose patterns need not be in step. */
function expectSameLight([reference, example]: readonly [BareLamp, BareLamp]): void {
  const mean = (lamp: BareLamp) => {
    const sums = new Array<number>(6).fill(0);
    lamp.run(0.016, () => {
      for (const [channel, drive] of lamp.drives.entries()) sums[channel]! += drive / 16;
    });
    return sums;
  };
  const [ours, theirs] = [mean(reference), mean(example)];
  ours.forEach((code, channel) => {
    expect(Math.abs(theirs[channel]! - code)).toBeLessThanOrEqual(Math.max(0.26, 0.005 * code));
  });
}

// From 0.1 % on: a product of two is then far above the example's resolution of 2^-30.
const percent = fc
  .oneof(fc.constant(0), fc.integer({ min: 1000, max: 1000000 }))
  .map((value) => String(value / 10000));
const mix = fc.array(percent, { minLength: 6, maxLength: 6 }).map((values) => values.join(' '));

describe('the example firmware in C gives the same light as the reference firmware', () => {
  test('for settings and fades over the console, also in mid-fade', () => {
    const line = fc.oneof(
      fc.tuple(percent, mix).map(([level, values]) => `dim ${level} mix ${values}`),
      fc
        .tuple(fc.integer({ min: 0, max: 3000 }), percent, mix)
        .map(([ms, level, values]) => `fade ${ms} dim ${level} mix ${values}`),
      fc.constant('off'),
    );
    const lines = fc.array(fc.tuple(line, fc.integer({ min: 1, max: 900 })), { maxLength: 5 });
    fc.assert(
      fc.property(lines, (script) => {
        const lamps = pair();
        for (const [text, wait] of script) {
          const replies = lamps.map((lamp) => lamp.say(text));
          expect(replies[1]).toBe(replies[0]);
          for (const lamp of lamps) lamp.run(wait / 1000);
          expectSameLight(lamps);
        }
      }),
      { numRuns: 30, seed: 4 },
    );
  });

  test.each([
    'nonsense',
    'dim 1',
    'dim 101 mix 1 1 1 1 1 1',
    'dim 1 mix 1 1 1',
    'dim 1 mix 1 1 1 1 1 1 1',
    'dim 1 mix',
    'dim x mix 1 1 1 1 1 1',
    'dim 1. mix 1 1 1 1 1 1.',
    'fade 5 dim 1 mix 1 1 1 1 1 1 extra',
    'fade 99999999 dim 1 mix 1 1 1 1 1 1',
    'fade 1.5 dim 1 mix 1 1 1 1 1 1',
    '  off  ',
    'off off',
    '',
    `who${' '.repeat(300)}`,
  ])('and the same answer to "%s"', (line) => {
    const [reference, example] = pair();
    expect(example.say(line)).toBe(reference.say(line));
  });

  test('for frames of DALI, with the same answers', () => {
    const ours = fc.constantFrom(0x0a, 0x0b, 0x84, 0x85, 0xfe, 0xff);
    const byte = fc.integer({ min: 0, max: 255 });
    const level = fc.tuple(fc.constantFrom(0x0a, 0x84, 0xfe), byte);
    const register = fc.tuple(fc.constantFrom(0xa3, 0xc3, 0xc5), byte);
    const colour = fc.tuple(fc.constant(0x0b), fc.integer({ min: 0xe2, max: 0xfa }));
    // Commissioning and memory banks: odd first bytes, with data that they mean something with.
    const special = fc.tuple(
      fc.constantFrom(0xa1, 0xa5, 0xa7, 0xa9, 0xab, 0xb1, 0xb7, 0xb9, 0xbb, 0xc7, 0xc9),
      fc.constantFrom(0, 0, 0xff, 0x55, 11, 13),
    );
    const bank = fc.tuple(fc.constantFrom(0x0b, 0xff), fc.constantFrom(0x81, 0xc2, 0xc3, 0xc5));
    const frame = fc.oneof(
      level,
      register,
      colour,
      special,
      bank,
      fc.tuple(ours, byte),
      fc.tuple(byte, byte),
    );
    const step = fc.record({
      frame: fc.oneof(
        { weight: 1, arbitrary: fc.constant([0xc1, 8] as [number, number]) },
        { weight: 5, arbitrary: frame },
      ),
      copies: fc.constantFrom(1, 1, 2),
      wait: fc.constantFrom(30, 30, 120, 300),
    });
    fc.assert(
      fc.property(fc.array(step, { maxLength: 25 }), (script) => {
        const lamps = pair();
        for (const { frame: sent, copies, wait } of script) {
          for (let copy = 0; copy < copies; copy++) {
            const answers = lamps.map((lamp) => lamp.dali(...sent));
            const close = [0xa0, 0x21].includes(sent[1]) || sent[1] === 0xfa;
            // A level that lies between two codes may be told either way, as may the low byte of a rounded value.
            if (!close) expect(answers[1], sent.join()).toBe(answers[0]);
            for (const lamp of lamps) lamp.run(wait / 1000);
          }
        }
        expectSameLight(lamps);
      }),
      { numRuns: 60, seed: 4 },
    );
  });

  test('for DMX frames, streams and the loss of the signal', () => {
    const frame = fc.uint8Array({ minLength: 14, maxLength: 14 });
    const step = fc.tuple(
      fc.constantFrom(0, 0, 0, 0x17, 0xcc),
      frame,
      fc.constantFrom(25, 25, 60, 200, 2000),
    );
    fc.assert(
      fc.property(fc.array(step, { maxLength: 12 }), (script) => {
        const lamps = pair();
        for (const [startCode, slots, wait] of script) {
          for (const lamp of lamps) lamp.dmx(startCode, slots);
          for (const lamp of lamps) lamp.run(wait / 1000);
          expectSameLight(lamps);
        }
      }),
      { numRuns: 30, seed: 4 },
    );
  });

  test('also where dark slots come while a fade of the console is on its way to the dark', () => {
    const lamps = pair();
    for (const lamp of lamps) {
      lamp.dmx(0, new Uint8Array(14).fill(255));
      lamp.run(0.02);
      lamp.say('fade 3000 dim 0 mix 100 100 100 100 100 100');
      lamp.run(0.02);
      lamp.dmx(0, new Uint8Array(14));
      lamp.run(0.06);
      expect(lamp.drives).toEqual([0, 0, 0, 0, 0, 0]);
    }
  });

  test('after a restart and after a power loss', () => {
    const lamps = pair();
    for (const lamp of lamps) {
      lamp.say('dim 12.5 mix 100 50 25 12 6 3');
      lamp.run(0.01);
      lamp.say('restart');
      lamp.run(0.1);
      lamp.run(0.3);
    }
    expectSameLight(lamps);
    expect(lamps[1].drives[0]).toBe(8192);
    for (const lamp of lamps) {
      lamp.restart();
      lamp.run(0.2);
      expect(lamp.drives[0]).toBe(0);
      lamp.run(0.2);
    }
    expectSameLight(lamps);
    expect(lamps[1].drives[0]).toBe(8192);
  });

  test('drive for drive and answer for answer when it has a main loop of its own', async () => {
    const looping = await loadFirmware(buildAlcoveMainLoop(), 'alcove');
    expect([image.style, looping.style]).toEqual(['ticks', 'main-loop']);
    const [ours, theirs] = [image, looping].map((build) => {
      const lamp = new BareLamp(openFirmware(build));
      const story: unknown[] = [];
      const run = (seconds: number) => lamp.run(seconds, () => story.push(...lamp.drives));
      run(0.4);
      story.push(lamp.say('fade 500 dim 40 mix 100 50 25 12 6 3'));
      run(0.3);
      story.push(lamp.say('dim 12.5 mix 100 50 25 12 6 0.3'), lamp.dali(0x0a, 170));
      run(0.2);
      lamp.dmx(0, [0, 200, ...new Array<number>(12).fill(90)]);
      run(0.4);
      story.push(lamp.say('nonsense'), lamp.say('restart'));
      run(0.6);
      return [...story, ...lamp.memory, lamp.ticks];
    });
    expect(theirs).toEqual(ours);
    expect(new Set(ours).size).toBeGreaterThan(100);
  });

  test('and it is idle whenever nothing moves', () => {
    const [, example] = pair();
    expect(example.idle).toBe(true);
    example.say('fade 100 dim 100 mix 100 100 100 100 100 100');
    example.run(0.05);
    expect(example.idle).toBe(false);
    example.run(0.06);
    expect(example.idle).toBe(true);
  });
});
