import { crc32, deflateSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { decodePngFrame } from '../../harness/files/png-frame.ts';

const linear = { transfer: 'linear', dark: 0 } as const;
const signature = [137, 80, 78, 71, 13, 10, 26, 10];

function chunk(type: string, data: Uint8Array): Uint8Array {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const [length, sum] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(data.length);
  sum.writeUInt32BE(crc32(body));
  return Buffer.concat([length, body, sum]);
}

/** 8 bit, grey. */
function header(width: number, height: number, interlaced = 0): Uint8Array {
  const data = Buffer.alloc(13);
  data.writeUInt32BE(width, 0);
  data.writeUInt32BE(height, 4);
  data.set([8, 0, 0, 0, interlaced], 8);
  return chunk('IHDR', data);
}

const png = (...chunks: readonly Uint8Array[]) =>
  Buffer.concat([Buffer.from(signature), ...chunks, chunk('IEND', Buffer.alloc(0))]);
const rows = (width: number, height: number, value: number) =>
  Buffer.concat(
    Array.from({ length: height }, () => Buffer.from([0, ...Array(width).fill(value)])),
  );

describe('a small file that grows large', () => {
  test('is refused by the size that it promises', () => {
    const bytes = png(header(60_000, 60_000), chunk('IDAT', deflateSync(Buffer.alloc(100))));
    expect(decodePngFrame(bytes, linear)).toMatchObject({
      fault: { code: 'too-large', message: expect.stringContaining('found one of 3433 MiB') },
    });
  });

  test('is refused where it holds more than it promises, without being unpacked', () => {
    const packed = deflateSync(Buffer.alloc(400 * 2 ** 20));
    const before = process.memoryUsage().arrayBuffers;
    const result = decodePngFrame(png(header(10, 10), chunk('IDAT', packed)), linear);
    expect(result).toMatchObject({ fault: { code: 'surplus' } });
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(64 * 2 ** 20);
  });

  test('in a part that is no picture is not unpacked', () => {
    const profile = deflateSync(Buffer.alloc(100 * 2 ** 20));
    const bytes = png(
      header(4, 3),
      chunk('iCCP', Buffer.concat([Buffer.from('profile\0\0', 'latin1'), profile])),
      chunk('IDAT', deflateSync(rows(4, 3, 51))),
    );
    const before = process.memoryUsage().arrayBuffers;
    expect(decodePngFrame(bytes, linear)).toMatchObject({ ok: true, value: { width: 4 } });
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(32 * 2 ** 20);
  });
});

test('an interlaced picture is read as any other', () => {
  // 5 x 5 pixels go in passes of 1 x 1, 1 x 1, 2 x 1, 1 x 2, 3 x 1, 2 x 3 and 5 x 2.
  const sizes = [
    [1, 1],
    [1, 1],
    [2, 1],
    [1, 2],
    [3, 1],
    [2, 3],
    [5, 2],
  ] as const;
  const packed = deflateSync(
    Buffer.concat(sizes.map(([width, height]) => rows(width, height, 102))),
  );
  const result = decodePngFrame(png(header(5, 5, 1), chunk('IDAT', packed)), linear);
  if (!result.ok) throw new Error(result.fault.message);
  expect([...result.value.rows]).toEqual(Array(5).fill(0.4));
});

test('one byte more than an interlaced picture has is too much', () => {
  const packed = deflateSync(Buffer.alloc(37));
  const result = decodePngFrame(png(header(5, 5, 1), chunk('IDAT', packed)), linear);
  expect(result).toMatchObject({ fault: { code: 'surplus' } });
});
