import { open, stat } from 'node:fs/promises';
import * as z from 'zod';
import { Refusal } from '../refusal.ts';
import type { LabClient } from './lab-client.ts';

/** Bytes that are sent at once. */
const pieceBytes = 4 * 2 ** 20;
/** How often a file may go on at another byte than was thought. */
const mostShifts = 20;
/** Digests that are asked for at once. */
const atOnce = 1000;

const missingSchema = z.object({ missing: z.array(z.string()) });
const receivedSchema = z.object({ bytes: z.number() });

/** Something to send: bytes, or a file. */
export interface ToSend {
  readonly digest: string;
  readonly content: Uint8Array | { readonly path: string };
}

/** How often files are sent again that the lab had, and has not any more. */
const mostLost = 5;

/**
 * Sends what the lab does not have, then asks it for what these files are for. A lab clears files that nobody needs: where one has gone in
 * between, it is sent again.
 */
export async function uploadFor<Result>(
  client: LabClient,
  files: readonly ToSend[],
  ask: () => Promise<Result>,
): Promise<Result> {
  for (let tries = 0; ; tries++) {
    await upload(client, files);
    try {
      return await ask();
    } catch (error) {
      const isMissing = error instanceof Refusal && error.kind === 'missing';
      if (!isMissing || tries >= mostLost) throw error;
    }
  }
}

/** Each file from where it was cut off. */
async function upload(client: LabClient, all: readonly ToSend[]): Promise<void> {
  const byDigest = new Map(all.map((one) => [one.digest, one]));
  const digests = [...byDigest.keys()];
  for (let start = 0; start < digests.length; start += atOnce) {
    const { missing } = await client.ask({
      ...{ method: 'POST', path: '/api/files/missing', answer: missingSchema },
      body: { digests: digests.slice(start, start + atOnce) },
    });
    for (const digest of missing) {
      const one = byDigest.get(digest);
      if (one) await sendOne(client, one);
    }
  }
}

async function sendOne(client: LabClient, { digest, content }: ToSend): Promise<void> {
  const path = `/api/files/${digest}/received`;
  const of = content instanceof Uint8Array ? content.length : (await stat(content.path)).size;
  for (let tries = 0; ; tries++) {
    const { bytes } = await client.ask({ method: 'GET', path, answer: receivedSchema });
    try {
      // All of it can be there, and not be kept yet: then the last piece is empty.
      for (let from = bytes; ; from += pieceBytes) {
        await client.sendPiece(digest, { from, of, bytes: await pieceOf(content, from) });
        if (from + pieceBytes >= of) return;
      }
    } catch (error) {
      // A piece that broke off had come in part, or a broken file was removed: ask how far it is.
      const isShifted = error instanceof Refusal && error.kind === 'conflict';
      if (!isShifted || tries >= mostShifts) throw error;
    }
  }
}

async function pieceOf(content: ToSend['content'], from: number): Promise<Uint8Array> {
  if (content instanceof Uint8Array) return content.subarray(from, from + pieceBytes);
  return readPiece(content.path, from);
}

async function readPiece(path: string, from: number): Promise<Uint8Array> {
  const handle = await open(path);
  try {
    const buffer = Buffer.allocUnsafe(pieceBytes);
    const { bytesRead } = await handle.read(buffer, 0, pieceBytes, from);
    return buffer.subarray(0, bytesRead);
  } finally {
    await handle.close();
  }
}
