import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { deflateSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readCapture, writeCapture } from '../../harness/archive/capture-file.ts';
import type { Codes } from '../../harness/archive/code-residuals.ts';
import { createRunFolder, resumeRunFolder } from '../../harness/archive/run-folder.ts';
import {
  headerOf,
  sampleCapture,
  sampleCondition,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';
import { scratchFolders } from './scratch.ts';

const scratch = scratchFolders();
const file = 'x.codes';

async function stored(codes: Codes): Promise<{ readonly folder: string; readonly path: string }> {
  const folder = scratch();
  mkdirSync(join(folder, 'captures'));
  await (await writeCapture(folder, sampleCapture({ file, samples: codes.length }), codes)).flushed;
  return { folder, path: join(folder, 'captures', file) };
}

async function back(codes: Codes): Promise<Codes> {
  return (await readCapture((await stored(codes)).folder, file)).codes;
}

/** By their bits: a not-a-number is none like another. */
function bitsOf(codes: Codes): Buffer {
  return Buffer.from(codes.buffer, codes.byteOffset, codes.byteLength);
}

/** Two levels that drift, with noise and a rare far code: what a pulse-width modulated current looks like. */
function pulses(length: number, high: number, noise: number): Int16Array {
  let state = 1;
  const random = () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  return Int16Array.from({ length }, (_, k) => {
    const level = random() < 0.4 ? high + k / 500 : 3;
    return random() < 1e-3 ? 32_767 : level + noise * (random() + random() + random() - 1.5);
  });
}

describe('a packed capture comes back bit for bit', () => {
  it.each([
    ['int16 at its ends', Int16Array.of(-32_768, 32_767, 0, -1, 32_767, -32_768)],
    ['int32 at its ends', Int32Array.of(-2_147_483_648, 2_147_483_647, 0, 2_147_483_647, -1)],
    ['float32', Float32Array.of(-0, 0, Number.NaN, Infinity, -Infinity, 1e-45, 3.4e38, -0.5)],
    ['one code', Int16Array.of(7)],
    ['no code', new Int16Array(0)],
    ['a part of a longer array', Int16Array.from({ length: 100 }, (_, k) => k * k).subarray(3, 50)],
    ['codes that never change', new Int16Array(40_000).fill(12)],
    ['pulses', pulses(50_000, 900, 2)],
    ['pulses of more than one block', pulses(600_001, 20_000, 40)],
    ['a ramp', Int32Array.from({ length: 70_000 }, (_, k) => k * 30_000)],
  ])('%s', async (_, codes) => {
    const found = await back(codes);
    expect(found.constructor).toBe(codes.constructor);
    expect(bitsOf(found).equals(bitsOf(codes))).toBe(true);
  });

  it('whatever the codes are', async () => {
    const arrays = fc.oneof(
      fc.int16Array({ maxLength: 300 }),
      fc.int32Array({ maxLength: 300 }),
      fc.float32Array({ maxLength: 300 }),
    );
    await fc.assert(
      fc.asyncProperty(arrays, async (codes) => bitsOf(await back(codes)).equals(bitsOf(codes))),
      { numRuns: 60 },
    );
  });
});

it('takes less than a quarter of the codes where a current has noise of one code', async () => {
  const { path } = await stored(pulses(100_000, 900, 2));
  expect(readFileSync(path).length).toBeLessThan(200_000 / 4);
});

describe('a packed capture that is not whole', () => {
  it.each([
    ['cut short', (bytes: Buffer) => bytes.subarray(0, -3), 'promises'],
    ['longer', (bytes: Buffer) => Buffer.concat([bytes, Buffer.of(0)]), 'promises'],
    ['no head', () => Buffer.from('none'), 'does not begin with a capture'],
    [
      'a bit of a plane',
      (bytes: Buffer) => {
        bytes[bytes.length - 2] = (bytes.at(-2) as number) ^ 1;
        return bytes;
      },
      'cannot be unpacked',
    ],
    [
      'fewer samples than it says',
      (bytes: Buffer) =>
        Buffer.from(bytes.toString('latin1').replace('"samples":5', '"samples":6'), 'latin1'),
      'expected 6 samples',
    ],
    [
      'a block beyond all bounds',
      (bytes: Buffer) =>
        Buffer.from(bytes.toString('latin1').replace('"codes":5', '"codes":5000000'), 'latin1'),
      'does not begin with a capture',
    ],
  ])('%s: says so', async (_, change, sentence) => {
    const { folder, path } = await stored(Int16Array.of(100, 101, 99, 100, 900));
    writeFileSync(path, change(readFileSync(path)));
    await expect(readCapture(folder, file)).rejects.toMatchObject({
      kind: 'damaged',
      message: expect.stringContaining(sentence),
    });
  });

  it('that would unpack to more than it says is not unpacked further', async () => {
    const { folder, path } = await stored(Int16Array.of(1, 2, 3, 4, 5));
    const head = readFileSync(path).toString('latin1').split('\n')[0] as string;
    const bomb = deflateSync(new Uint8Array(10_000_000));
    const bombed = head.replace(/"parts":\[[0-9,]+\]/, `"parts":[0,${bomb.length}]`);
    writeFileSync(path, Buffer.concat([Buffer.from(`${bombed}\n`), bomb]));
    await expect(readCapture(folder, file)).rejects.toThrow('cannot be unpacked');
  });
});

describe('a run that was killed while it was sealed, its journal gone', () => {
  async function killed() {
    const codes = Int16Array.of(1, 2, 3, 4);
    const captures = [sampleCapture({ file })];
    const record = sampleRecord({ specs: [sampleSpec('a', [sampleCondition({ captures })])] });
    const folder = await createRunFolder(scratch(), headerOf(record));
    await folder.saveCapture(captures[0]!, codes);
    await folder.saveCondition('a', record.specs[0]!.conditions[0]!);
    await folder.close();
    writeFileSync(join(folder.path, 'run.json'), JSON.stringify({ ...record, id: folder.id }));
    writeFileSync(join(folder.path, 'journal.ndjson'), '');
    return folder.path;
  }

  it('goes on with the conditions whose packed captures are whole', async () => {
    const { folder } = await resumeRunFolder(await killed());
    expect(folder.finished.size).toBe(1);
    await folder.close();
  });

  it('measures those again whose packed captures are not', async () => {
    const path = await killed();
    const capture = join(path, 'captures', file);
    writeFileSync(capture, readFileSync(capture).subarray(0, -1));
    const { folder } = await resumeRunFolder(path);
    expect(folder.finished.size).toBe(0);
    await folder.close();
  });
});
