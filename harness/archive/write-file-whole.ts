import { type FileHandle, open, rename, rm } from 'node:fs/promises';
import { dirname } from 'node:path';

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

/**
 * Writes a new file by the given function, under a neighbour's name until it is whole. The flush to the disk goes on
 * after the return: `flushed` must be awaited before anyone relies on it. Rejects when the file is there already.
 */
export async function writeFileLater<Result>(
  path: string,
  write: (handle: FileHandle) => Promise<Result>,
): Promise<{ readonly result: Result; readonly flushed: Promise<void> }> {
  const part = path + partSuffix;
  const handle = await open(part, 'wx');
  try {
    const result = await write(handle);
    await rename(part, path);
    const flushed = handle.datasync().finally(() => handle.close());
    // Awaited at the seal; until then a rejection must not count as unhandled.
    flushed.catch(() => {});
    return { result, flushed };
  } catch (error) {
    await handle.close().catch(() => {});
    await rm(part, { force: true }).catch(() => {});
    throw error;
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
