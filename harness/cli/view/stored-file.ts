import { lstat, realpath } from 'node:fs/promises';
import { join } from 'node:path';
import type { Context, Handler } from 'hono';
import { HTTPException } from 'hono/http-exception';
import { readManifest, sha256 } from '../../archive/manifest.ts';
import { readPlainFile } from '../../archive/plain-file.ts';
import { safeFileName } from '../../archive/safe-file-name.ts';
import { archivedRun } from './archived-run.ts';
import type { Desk } from './desk.ts';
import type { Served } from './guard.ts';
import { filePolicy, storedPagePolicy } from './send.ts';

/** The page that was stored with the run, byte for byte. */
export function showStoredPage(desk: Desk): Handler<Served> {
  return async (c) => {
    const bytes = await sealedBytes(desk, c.req.param('run') ?? '', 'index.html');
    return send(c, bytes, {
      'Content-Type': 'text/html; charset=utf-8',
      'Content-Security-Policy': storedPagePolicy,
    });
  };
}

/** Any other file of a run: to be saved, or read as plain text, but never run. */
export function sendStoredFile(desk: Desk): Handler<Served> {
  return async (c) => {
    const name = c.req.param('file') ?? '';
    const bytes = await sealedBytes(desk, c.req.param('run') ?? '', name);
    const binary = /\.(bin|codes|npy)$/.test(name);
    const last = name.slice(name.lastIndexOf('/') + 1);
    return send(c, bytes, {
      'Content-Type': binary ? 'application/octet-stream' : 'text/plain; charset=utf-8',
      'Content-Security-Policy': filePolicy,
      // Names of a manifest that is no longer sound could hold anything; the check below keeps to safe ones.
      'Content-Disposition': `${binary ? 'attachment' : 'inline'}; filename="${last}"`,
    });
  };
}

function send(c: Context, bytes: Buffer, headers: Readonly<Record<string, string>>): Response {
  return c.body(new Uint8Array(bytes), 200, { 'Cache-Control': 'no-store', ...headers });
}

/** A file that the manifest names, as it was sealed. What was altered since is refused: it is no evidence. */
async function sealedBytes(desk: Desk, run: string, name: string): Promise<Buffer> {
  const folder = await archivedRun(desk.root, run);
  const manifest = await readManifest(folder);
  const entry = manifest?.files.find(({ file }) => file === name);
  if (!entry || !isSafe(name) || !(await isOwnFile(folder, name))) {
    throw new HTTPException(404, { message: 'This run has no sealed file of that name.' });
  }
  const bytes = await readPlainFile(join(folder, name));
  if (sha256(bytes) === entry.sha256) return bytes;
  const message = `${name} is not what was sealed: it was altered since, and is not shown. The sheet of the run says what else was.`;
  throw new HTTPException(409, { message });
}

/** A file of the run itself: neither a link, a pipe or a device, nor behind a folder that is a link. */
async function isOwnFile(folder: string, name: string): Promise<boolean> {
  const path = join(await realpath(folder), name);
  const found = await lstat(path).catch(() => null);
  return found?.isFile() === true && (await realpath(path)) === path;
}

function isSafe(name: string): boolean {
  try {
    return safeFileName(name) === name;
  } catch {
    return false;
  }
}
