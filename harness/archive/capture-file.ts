import { createHash } from 'node:crypto';
import { join } from 'node:path';
import * as z from 'zod';
import { decodeNpy, npyHeader } from '../files/npy.ts';
import type { CaptureRecord } from '../record/run-record.ts';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import { type StoredFile, sha256 } from './manifest.ts';
import { readPlainFile } from './plain-file.ts';
import { safeFileName } from './safe-file-name.ts';
import { writeFileLater } from './write-file-whole.ts';

/** Raw codes as the instrument gave them. */
export type Codes = Int16Array | Int32Array | Float32Array;

const sidecarSchema = z.strictObject({
  format: z.literal('evenfall-capture'),
  version: z.literal(1),
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
  sha256: z.string(),
});
type Sidecar = z.infer<typeof sidecarSchema>;

export interface StoredCapture extends Sidecar {
  readonly codes: Codes;
}

/** `captures/0003-light.npy` -> `captures/0003-light.json` */
export function sidecarName(file: string): string {
  return file.replace(/\.npy$/, '.json');
}

/**
 * Writes `captures/<file>` and its sidecar. Both appear whole or not at all. `flushed` is the flush to the disk, which
 * goes on after the return and must be awaited before the run is sealed.
 */
export async function writeCapture(
  folder: string,
  capture: CaptureRecord,
  codes: Codes,
): Promise<{ readonly files: readonly StoredFile[]; readonly flushed: Promise<void> }> {
  if (codes.length !== capture.samples) {
    const text = `capture ${capture.file}: expected ${capture.samples} samples, found ${codes.length}`;
    throw new ArchiveError('bad-record', text);
  }
  const base = join(folder, 'captures');
  const header = npyHeader(codes);
  const body = new Uint8Array(codes.buffer, codes.byteOffset, codes.byteLength);
  const hash = createHash('sha256');
  const npy = await writeFileLater(join(base, capture.file), [header, body], (piece) =>
    hash.update(piece),
  );
  const npyHash = hash.digest('hex');
  const name = sidecarName(capture.file);
  const text = Buffer.from(`${JSON.stringify(sidecarOf(capture, npyHash), null, 2)}\n`);
  const sidecar = await writeFileLater(join(base, name), [text]);
  const flushed = Promise.all([npy.flushed, sidecar.flushed]).then(() => {});
  flushed.catch(() => {});
  const files = [
    { file: `captures/${capture.file}`, bytes: header.length + body.length, sha256: npyHash },
    { file: `captures/${name}`, bytes: text.length, sha256: sha256(text) },
  ];
  return { files, flushed };
}

function sidecarOf(capture: CaptureRecord, hash: string): Sidecar {
  return {
    format: 'evenfall-capture',
    version: 1,
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
    sha256: hash,
  };
}

/** A stored capture: raw codes, and in the sidecar how to read them. */
export async function readCapture(folder: string, file: string): Promise<StoredCapture> {
  const path = join(folder, 'captures', safeFileName(file));
  const sidecarPath = join(folder, 'captures', sidecarName(file));
  let bytes: Buffer;
  let text: string;
  try {
    bytes = await readPlainFile(path);
    text = (await readPlainFile(sidecarPath)).toString('utf8');
  } catch (error) {
    throw fileSystemError(error, `reading the capture ${path}`);
  }
  let sidecar: Sidecar;
  try {
    sidecar = sidecarSchema.parse(JSON.parse(text));
  } catch (error) {
    const why = error instanceof z.ZodError ? z.prettifyError(error) : (error as Error).message;
    throw new ArchiveError('damaged', `${sidecarPath} is not a capture's sidecar: ${why}`, {
      cause: error,
    });
  }
  const codes = codesOf(bytes, path);
  if (codes.length !== sidecar.samples) {
    const text = `${path}: its sidecar promises ${sidecar.samples} samples, the file holds ${codes.length}`;
    throw new ArchiveError('damaged', text);
  }
  return { ...sidecar, codes };
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
