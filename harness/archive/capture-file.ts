import { createHash } from 'node:crypto';
import { join } from 'node:path';
import * as z from 'zod';
import { decodeNpy, npyHeader } from '../files/npy.ts';
import type { CaptureRecord } from '../record/run-record.ts';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import type { Codes } from './code-residuals.ts';
import { type StoredFile, sha256 } from './manifest.ts';
import { packCodes, packingSchema, unpackCodes } from './packed-codes.ts';
import { readPlainFile } from './plain-file.ts';
import { safeFileName } from './safe-file-name.ts';
import { writeFileLater } from './write-file-whole.ts';

const described = {
  format: z.literal('evenfall-capture'),
  /** Id of the capture within its condition; absent in runs of earlier versions. */
  id: z.string().optional(),
  file: z.string(),
  signal: z.string(),
  of: z.string(),
  instrument: z.string(),
  input: z.string(),
  samples: z.number().int(),
  /** Sampling interval and start of the first sample on the condition's time line. */
  dt_s: z.number().positive(),
  t0_s: z.number(),
  /** value = code * scale + offset, in `unit`. */
  unit: z.string(),
  scale: z.number(),
  offset: z.number(),
  clipped: z.number().int(),
  taken: z.enum(['at-once', 'multiplexed', 'solo', 'alongside']),
};
/** What lies beside a NumPy file. */
const sidecarSchema = z.strictObject({
  ...described,
  version: z.literal(1),
  sha256: z.string(),
});
/** The first line of a packed capture; the parts of its blocks follow without a gap. */
const headSchema = z.strictObject({ ...described, version: z.literal(2), packing: packingSchema });
type Described = Omit<z.infer<typeof headSchema>, 'version' | 'packing'>;

export interface StoredCapture extends Described {
  readonly codes: Codes;
}

/** Samples in the unit of the capture. */
export function samplesOf({
  codes,
  scale,
  offset,
}: Pick<StoredCapture, 'codes' | 'scale' | 'offset'>): Float64Array {
  return Float64Array.from(codes, (code) => code * scale + offset);
}

const packedEnding = '.codes';
/** Of runs of earlier versions: codes as they are, and a sidecar. */
const plainEnding = '.npy';

/** Whether a capture can have this name. */
export function isCaptureName(name: string): boolean {
  return (name.endsWith(packedEnding) || name.endsWith(plainEnding)) && !name.includes('/');
}

/** Files that a capture of this name consists of, below the run's folder. */
export function filesOfCapture(file: string): readonly string[] {
  const path = `captures/${file}`;
  return file.endsWith(plainEnding) ? [path, `captures/${sidecarName(file)}`] : [path];
}

/** `captures/0003-light.npy` -> `captures/0003-light.json` */
function sidecarName(file: string): string {
  return file.replace(/\.npy$/, '.json');
}

interface Written {
  readonly files: readonly StoredFile[];
  /** The flush to the disk, which goes on and must be awaited before the run is sealed. */
  readonly flushed: Promise<void>;
}

/**
 * Writes `captures/<file>` in the form that its name says: packed (`.codes`), or as it was in an earlier run (`.npy`, with a sidecar).
 * Each file appears whole or not at all.
 */
export async function writeCapture(
  folder: string,
  capture: CaptureRecord,
  codes: Codes,
): Promise<Written> {
  if (codes.length !== capture.samples) {
    const text = `capture ${capture.file}: expected ${capture.samples} samples, found ${codes.length}`;
    throw new ArchiveError('bad-record', text);
  }
  return capture.file.endsWith(plainEnding)
    ? writePlain(folder, capture, codes)
    : writePacked(folder, capture, codes);
}

async function writePacked(folder: string, capture: CaptureRecord, codes: Codes): Promise<Written> {
  const { packing, parts } = await packCodes(codes);
  const head = { format: 'evenfall-capture', version: 2, ...describe(capture), packing };
  const line = Buffer.from(`${JSON.stringify(head)}\n`);
  const bytes = Buffer.concat([line, ...parts]);
  const path = `captures/${capture.file}`;
  const { flushed } = await writeFileLater(join(folder, path), [bytes]);
  return { files: [{ file: path, bytes: bytes.length, sha256: sha256(bytes) }], flushed };
}

async function writePlain(folder: string, capture: CaptureRecord, codes: Codes): Promise<Written> {
  const base = join(folder, 'captures');
  const header = npyHeader(codes);
  const body = new Uint8Array(codes.buffer, codes.byteOffset, codes.byteLength);
  const hash = createHash('sha256');
  const npy = await writeFileLater(join(base, capture.file), [header, body], (piece) =>
    hash.update(piece),
  );
  const npyHash = hash.digest('hex');
  const name = sidecarName(capture.file);
  const described = { format: 'evenfall-capture', version: 1, ...describe(capture) };
  const text = Buffer.from(`${JSON.stringify({ ...described, sha256: npyHash }, null, 2)}\n`);
  const sidecar = await writeFileLater(join(base, name), [text]);
  const flushed = Promise.all([npy.flushed, sidecar.flushed]).then(() => {});
  flushed.catch(() => {});
  const files = [
    { file: `captures/${capture.file}`, bytes: header.length + body.length, sha256: npyHash },
    { file: `captures/${name}`, bytes: text.length, sha256: sha256(text) },
  ];
  return { files, flushed };
}

function describe(capture: CaptureRecord): Omit<Described, 'format'> {
  return {
    id: capture.id,
    file: capture.file,
    signal: capture.signal,
    of: capture.of,
    instrument: capture.instrument,
    input: capture.input,
    samples: capture.samples,
    dt_s: 1 / capture.rate,
    t0_s: capture.start,
    unit: capture.unit,
    scale: capture.scale,
    offset: capture.offset,
    clipped: capture.clipped,
    taken: capture.taken,
  };
}

/** A stored capture: raw codes, and how to read them. */
export async function readCapture(folder: string, file: string): Promise<StoredCapture> {
  const path = join(folder, 'captures', safeFileName(file));
  const bytes = await bytesOf(path, path);
  if (!file.endsWith(plainEnding)) return unpackCapture(bytes, path);
  const sidecarPath = join(folder, 'captures', sidecarName(file));
  const text = (await bytesOf(sidecarPath, path)).toString('utf8');
  const sidecar = parsed(sidecarSchema, text, `${sidecarPath} is not a capture's sidecar`);
  return withCodes(sidecar, codesOf(bytes, path), path);
}

async function bytesOf(path: string, capture: string): Promise<Buffer> {
  try {
    return await readPlainFile(path);
  } catch (error) {
    throw fileSystemError(error, `reading the capture ${capture}`);
  }
}

/** A packed capture from the bytes of its file. Throws `damaged`. */
export function unpackCapture(bytes: Uint8Array, path: string): StoredCapture {
  const end = bytes.indexOf(lineEnd);
  const line = Buffer.from(bytes.buffer, bytes.byteOffset, Math.max(end, 0)).toString('utf8');
  const head = parsed(headSchema, line, `${path} does not begin with a capture's head`);
  let codes: Codes;
  try {
    codes = unpackCodes(head.packing, bytes.subarray(end + 1));
  } catch (error) {
    const text = `${path} cannot be unpacked: ${(error as Error).message}`;
    throw new ArchiveError('damaged', text, { cause: error });
  }
  return withCodes(head, codes, path);
}

const lineEnd = 10;

/** Whether a file of any kind begins as a packed capture does. */
export function isPackedCapture(bytes: Uint8Array): boolean {
  const mark = Buffer.from('{"format":"evenfall-capture"');
  return mark.equals(bytes.subarray(0, mark.length));
}

function parsed<Value>(schema: z.ZodType<Value>, text: string, what: string): Value {
  try {
    return schema.parse(JSON.parse(text));
  } catch (error) {
    const why = error instanceof z.ZodError ? z.prettifyError(error) : (error as Error).message;
    throw new ArchiveError('damaged', `${what}: ${why}`, { cause: error });
  }
}

function withCodes(described: Described, codes: Codes, path: string): StoredCapture {
  if (codes.length === described.samples) return { ...described, codes };
  const text = `${path}: expected ${described.samples} samples, as it says, found ${codes.length}`;
  throw new ArchiveError('damaged', text);
}

function codesOf(bytes: Buffer, path: string): Codes {
  // A plain view: a Buffer's slice would share memory with the pool.
  const plain = new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.length);
  const read = decodeNpy(plain);
  if (!read.ok) throw new ArchiveError('damaged', `${path}: ${read.fault.message}`);
  const { samples, descr } = read.value;
  const known =
    samples instanceof Int16Array ||
    samples instanceof Int32Array ||
    samples instanceof Float32Array;
  if (known) return samples;
  throw new ArchiveError('damaged', `${path}: expected codes of <i2, <i4 or <f4, found ${descr}`);
}
