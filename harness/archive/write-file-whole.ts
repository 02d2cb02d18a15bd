import { closeSync, fdatasync, openSync, renameSync, rmSync, writeSync } from 'node:fs';
import { open, rename, rm } from 'node:fs/promises';
import { dirname } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { promisify } from 'node:util';

/** Files with this ending are not finished; a reader ignores them and a resumed run removes them. */
export const partSuffix = '.part';

/**
 * Writes a file so that its name never shows anything but the whole of it, also after a kill or a power cut:
 * a neighbour is written and flushed, then renamed. (The library at hand checks no short write, which is just what a
 * full disk gives.)
 */
export async function writeFileWhole(path: string, data: string | Uint8Array): Promise<void> {
  const part = path + partSuffix;
  const handle = await open(part, 'w');
  try {
    await handle.writeFile(data);
    await handle.sync();
    await rename(part, path);
  } catch (error) {
    await rm(part, { force: true }).catch(() => {});
    throw error;
  } finally {
    await handle.close();
  }
  await flushFolder(dirname(path));
}

/** So much is written at a time; in between, others have their turn. */
const pieceBytes = 1 << 20;

/**
 * Writes a new file of the given parts, under a neighbour's name until it is whole; `each` sees every piece before it is
 * written. The calls block: for the many small files of a run that takes a third of the time that handing each call to
 * the thread pool does. The flush to the disk goes on after the return: `flushed` must be awaited before anyone relies
 * on it. Rejects when the file is there already.
 */
export async function writeFileLater(
  path: string,
  parts: readonly Uint8Array[],
  each: (piece: Uint8Array) => void = () => {},
): Promise<{ readonly flushed: Promise<void> }> {
  const part = path + partSuffix;
  const file = openSync(part, 'wx');
  try {
    let pieces = 0;
    for (const bytes of parts) {
      for (let from = 0; from < bytes.length; from += pieceBytes) {
        if (++pieces % piecesAtOnce === 0) await setImmediate();
        const piece = bytes.subarray(from, from + pieceBytes);
        each(piece);
        writeAllSync(file, piece);
      }
    }
    renameSync(part, path);
  } catch (error) {
    closeSync(file);
    rmSync(part, { force: true });
    throw error;
  }
  const flushed = datasync(file).finally(() => closeSync(file));
  // Awaited at the seal; until then a rejection must not count as unhandled.
  flushed.catch(() => {});
  return { flushed };
}

const piecesAtOnce = 4;
const datasync = promisify(fdatasync);

/** A full disk answers with a short write before it answers with an error. */
function writeAllSync(file: number, bytes: Uint8Array): void {
  for (let done = 0; done < bytes.length; ) {
    done += writeSync(file, bytes, done, bytes.length - done);
  }
}

/** Makes a rename or removal in the folder durable. */
export async function flushFolder(path: string): Promise<void> {
  const handle = await open(path, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}
