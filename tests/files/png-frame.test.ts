import { encode } from 'fast-png';
import { describe, expect, test } from 'vitest';
import { decodePngFrame } from '../../harness/files/png-frame.ts';

const linear = { transfer: 'linear', dark: 0 } as const;

function picture(depth: 8 | 16, channels: number, value: (row: number, colour: number) => number) {
  const width = 5;
  const height = 4;
  const data = new (depth === 8 ? Uint8Array : Uint16Array)(width * height * channels);
  for (let row = 0; row < height; row++) {
    for (let rest = 0; rest < width * channels; rest++) {
      data[row * width * channels + rest] = value(row, rest % channels);
    }
  }
  return encode({ width, height, data, depth, channels });
}

describe('rows of a picture', () => {
  test('8 bit grey, 16 bit grey, 8 bit RGB and 16 bit RGBA give the mean of each row', () => {
    for (const [depth, channels] of [
      [8, 1],
      [16, 1],
      [8, 3],
      [16, 4],
    ] as const) {
      const top = depth === 8 ? 255 : 65535;
      const bytes = picture(depth, channels, (row, c) => (c === 3 ? 0 : (row + 1) * 10 + c));
      const result = decodePngFrame(bytes, linear);
      if (!result.ok) throw new Error(result.fault.message);
      const middle = channels >= 3 ? 1 : 0;
      expect([...result.value.rows]).toEqual(
        [10, 20, 30, 40].map((v) => expect.closeTo((v + middle) / top, 12)),
      );
      expect(result.value).toMatchObject({ width: 5, height: 4, depth, saturated: false });
    }
  });

  test('the sRGB curve and the dark level are taken out', () => {
    const bytes = picture(8, 1, () => 188);
    const result = decodePngFrame(bytes, { transfer: 'srgb', dark: 0.1 });
    // IEC 61966-2-1: code 188 of 255 is 50.3 % of the light (computed from the curve).
    if (!result.ok) throw new Error(result.fault.message);
    expect(result.value.rows[0]).toBeCloseTo(0.5029 - 0.1, 4);
  });

  test('a row on the end of the scale counts as saturated', () => {
    const result = decodePngFrame(
      picture(8, 1, (row) => (row === 2 ? 255 : 30)),
      linear,
    );
    expect(result.ok && result.value.saturated).toBe(true);
  });
});

describe('what is no usable picture is refused in words', () => {
  const whole = picture(8, 1, (row) => row);
  test('no bytes, other bytes, a cut file, a turned bit', () => {
    const turned = Uint8Array.from(whole);
    turned[45]! ^= 4;
    const cases = [
      [new Uint8Array(0), 'empty'],
      [new TextEncoder().encode('time,light\n0,1\n'), 'not-this-format'],
      [whole.subarray(0, 8), 'truncated'],
      [whole.subarray(0, whole.length - 20), 'truncated'],
      [turned, 'truncated'],
    ] as const;
    for (const [bytes, code] of cases) {
      const result = decodePngFrame(bytes, linear);
      expect(result).toMatchObject({ ok: false, fault: { code } });
    }
  });
});
