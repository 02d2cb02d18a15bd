import { closeSync, constants, fstatSync, openSync, readSync } from 'node:fs';
import type { Readable } from 'node:stream';

/** More bytes than the reader takes; nothing was read of the rest. */
export class TooManyBytes extends Error {
  override readonly name = 'TooManyBytes';
  constructor(most: number) {
    super(`expected at most ${mebibytes(most)} MiB, found more; is this the right file?`);
  }
}

/** How often a pipe that has nothing yet is asked again, ms. */
const pause = 5;
const firstRoom = 64 * 1024;

/**
 * The bytes of a file, a pipe or a device, at most `most` of them. A named pipe that nobody writes to is empty: nothing
 * waits for a writer who may never come.
 * Throws TooManyBytes, or the error of the file system.
 */
export function readBytes(path: string, most: number): Buffer<ArrayBuffer> {
  const handle = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK);
  try {
    const stat = fstatSync(handle);
    if (stat.isFile() && stat.size > most) throw new TooManyBytes(most);
    return readAll(handle, Math.max(stat.isFile() ? stat.size + 1 : 0, firstRoom), most);
  } finally {
    closeSync(handle);
  }
}

/** What a stream holds until its end, at most `most` bytes. Rejects with TooManyBytes. */
export async function readStream(stream: Readable, most: number): Promise<Buffer> {
  const parts: Buffer[] = [];
  let length = 0;
  for await (const part of stream) {
    parts.push(part as Buffer);
    length += (part as Buffer).length;
    if (length > most) throw new TooManyBytes(most);
  }
  return Buffer.concat(parts);
}

function readAll(handle: number, room: number, most: number): Buffer<ArrayBuffer> {
  let bytes = Buffer.alloc(room);
  let length = 0;
  for (;;) {
    const count = readSome(handle, bytes, length);
    if (count === 0) return bytes.subarray(0, length);
    length += count;
    if (length > most) throw new TooManyBytes(most);
    if (length === bytes.length) bytes = Buffer.concat([bytes, Buffer.alloc(bytes.length)]);
  }
}

function readSome(handle: number, into: Buffer, at: number): number {
  for (;;) {
    try {
      return readSync(handle, into, at, into.length - at, null);
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      if (code === 'EOF') return 0;
      if (code !== 'EAGAIN') throw error;
      Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, pause);
    }
  }
}

function mebibytes(bytes: number): string {
  return (bytes / 2 ** 20).toFixed(bytes < 2 ** 20 ? 2 : 0);
}
