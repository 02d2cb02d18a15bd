import { setImmediate } from 'node:timers/promises';
import { constants, deflateSync, inflateSync, type ZlibOptions } from 'node:zlib';
import * as z from 'zod';
import { foldedFrom, type LowBits, planeLength, planesOf } from './bit-planes.ts';
import {
  type Codes,
  type IntegerCodes,
  type Predictor,
  residualsOf,
  restoreCodes,
} from './code-residuals.ts';

/** Codes of a block: what blocks the event loop for a hundredth of a second. */
const blockCodes = 2 ** 18;

const count = z.number().int().nonnegative();
const predictor = z.discriminatedUnion('from', [
  z.strictObject({ from: z.literal('first') }),
  z.strictObject({ from: z.literal('levels'), shift: count.max(16), jump: count }),
]);

/** How codes are packed: what stands in the head of a capture's file. */
export const packingSchema = z.strictObject({
  type: z.enum(['<i2', '<i4', '<f4']),
  blocks: z.array(
    z.strictObject({
      codes: count.positive().max(blockCodes),
      first: z.number().int(),
      predictor,
      /** Bits of the lowest plane; two of four bits in a byte. */
      low: z.literal([4, 8]),
      /** Bytes of the deflated toggles, and of each deflated plane, the lowest first. 0: there is none, and all its bits are 0. */
      parts: z.array(count).min(1).max(6),
    }),
  ),
});
export type Packing = z.infer<typeof packingSchema>;
type Block = Packing['blocks'][number];

/** Packs codes without loss. Others have their turn between blocks. */
export async function packCodes(
  codes: Codes,
): Promise<{ readonly packing: Packing; readonly parts: readonly Uint8Array[] }> {
  const blocks: Block[] = [];
  const parts: Uint8Array[] = [];
  const integers = integersOf(codes);
  for (let from = 0; from < integers.length; from += blockCodes) {
    if (from > 0) await setImmediate();
    const packed = packBlock(integers.subarray(from, from + blockCodes));
    blocks.push(packed.block);
    parts.push(...packed.parts);
  }
  return { packing: { type: typeOf(codes), blocks }, parts };
}

function packBlock(codes: IntegerCodes): { block: Block; parts: readonly Uint8Array[] } {
  const { predictor, low } = chooseShape(codes);
  const { folded, toggles } = residualsOf(codes, predictor);
  const [lowest, ...others] = planesOf(folded, low);
  const parts = [
    deflated(toggles, patterns),
    lowest ? deflated(lowest, chooseOptions(lowest)) : nothing,
    ...others.map((plane) => deflated(plane, patterns)),
  ];
  const block = { codes: codes.length, first: codes[0] ?? 0, predictor, low };
  return { block: { ...block, parts: parts.map(({ length }) => length) }, parts };
}

interface Shape {
  readonly predictor: Predictor;
  readonly low: LowBits;
}

/** A dozen were held against captures of the whole library: none of the others saves as much as 1 %. */
const first: Predictor = { from: 'first' };
const predictors: readonly Predictor[] = [
  first,
  { from: 'levels', shift: 4, jump: 8 },
  { from: 'levels', shift: 2, jump: 4 },
  { from: 'levels', shift: 2, jump: 128 },
];

/** What packs some of the block best. */
function chooseShape(codes: IntegerCodes): Shape {
  const some = someOf(codes);
  const [predictor = first] = smallest(predictors, (one) =>
    triedSize(some, { predictor: one, low: 4 }),
  );
  // Small noise takes the least where two residuals make a byte, since Huffman's code has whole bits.
  const [low = 8] = smallest<LowBits>([4, 8], (one) => triedSize(some, { predictor, low: one }));
  return { predictor, low };
}

/** Stretches from all of it, evenly. */
function someOf(codes: IntegerCodes): IntegerCodes {
  const size = stretches * stretch;
  if (codes.length <= size) return codes;
  const some = codes.slice(0, size);
  for (let k = 1; k < stretches; k++) {
    const from = Math.floor((codes.length * k) / stretches);
    some.set(codes.subarray(from, from + stretch), k * stretch);
  }
  return some;
}

/** Codes. */
const stretch = 512;
const stretches = 4;

function triedSize(codes: IntegerCodes, { predictor, low }: Shape): number {
  const { folded, toggles } = residualsOf(codes, predictor);
  const [lowest = nothing, ...others] = planesOf(folded, low);
  const rest = Buffer.concat([toggles, ...others]);
  return deflated(lowest, huffman(7)).length + deflated(rest).length;
}

function smallest<One>(all: readonly One[], sizeOf: (one: One) => number): readonly One[] {
  const sizes = all.map(sizeOf);
  const least = Math.min(...sizes);
  return all.filter((_, index) => sizes[index] === least);
}

const nothing = new Uint8Array(0);

/** Nearly all of a plane above the lowest is 0: runs are found several times as fast as what else repeats, and take less. */
const runs: ZlibOptions = { strategy: constants.Z_RLE, memLevel: 9 };

/** Nothing where all bits are 0. */
function deflated(plane: Uint8Array, options: ZlibOptions = runs): Uint8Array {
  for (const byte of plane) if (byte !== 0) return deflateSync(plane, options);
  return nothing;
}

/** Noise repeats nothing: Huffman's code alone is as short, and fast. Little memory begins new codes sooner, for levels that change. */
function huffman(memLevel: number): ZlibOptions {
  return { strategy: constants.Z_HUFFMAN_ONLY, memLevel };
}

/** Toggles of a regular current come in patterns, and so do codes without noise. */
const patterns: ZlibOptions = { memLevel: 9 };

const choices: readonly ZlibOptions[] = [huffman(9), huffman(5), { level: 1, memLevel: 9 }];

function chooseOptions(plane: Uint8Array): ZlibOptions {
  const some = plane.subarray(0, 8192);
  const [best = huffman(9)] = smallest(choices, (one) => deflateSync(some, one).length);
  return best;
}

/** The codes that were packed. Throws an Error that says what is not as `packing` promises. */
export function unpackCodes(packing: Packing, bytes: Uint8Array): Codes {
  const total = packing.blocks.reduce((sum, block) => sum + block.codes, 0);
  const promised = packing.blocks.flatMap(({ parts }) => parts).reduce((a, b) => a + b, 0);
  if (promised !== bytes.length)
    throw new Error(`its head promises ${promised} bytes of codes, ${bytes.length} follow it`);
  const integers = packing.type === '<i2' ? new Int16Array(total) : new Int32Array(total);
  let at = 0;
  let done = 0;
  for (const block of packing.blocks) {
    const parts = block.parts.map((length) => bytes.subarray(at, (at += length)));
    unpackBlock(block, parts, integers.subarray(done, done + block.codes));
    done += block.codes;
  }
  return packing.type === '<f4' ? new Float32Array(integers.buffer) : integers;
}

function unpackBlock(
  { low, predictor, first, codes }: Block,
  [packedToggles = new Uint8Array(0), ...packed]: readonly Uint8Array[],
  target: IntegerCodes,
): void {
  const toggles = inflated(packedToggles, Math.ceil(codes / 8));
  const planes = packed.map((plane, index) => inflated(plane, planeLength(index, low, codes)));
  restoreCodes({ folded: foldedFrom(planes, low, codes), toggles }, predictor, first, target);
}

function inflated(packed: Uint8Array, length: number): Uint8Array {
  if (packed.length === 0) return new Uint8Array(length);
  const plane = inflateSync(packed, { maxOutputLength: length });
  if (plane.length === length) return plane;
  throw new Error(`a plane has ${plane.length} bytes, expected ${length}`);
}

/** Floating point by its bits. */
function integersOf(codes: Codes): IntegerCodes {
  return codes instanceof Float32Array
    ? new Int32Array(codes.buffer, codes.byteOffset, codes.length)
    : codes;
}

function typeOf(codes: Codes): Packing['type'] {
  if (codes instanceof Float32Array) return '<f4';
  return codes instanceof Int16Array ? '<i2' : '<i4';
}
