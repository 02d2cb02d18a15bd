import { renameSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { DigestCache } from '../../harness/archive/digest-cache.ts';
import { sha256, sha256File } from '../../harness/archive/manifest.ts';
import { scratchFolders } from './scratch.ts';

const scratch = scratchFolders();
const minute = 60_000;

/** To one and the same second: what a tamperer can do to the time of the last change. */
function setBack(path: string): void {
  utimesSync(path, 1_700_000_000, 1_700_000_000);
}

describe('a hash that is kept', () => {
  let path: string;
  let read: number;
  let now: number;
  let cache: DigestCache;

  beforeEach(() => {
    path = join(scratch(), 'capture.npy');
    writeFileSync(path, 'light');
    setBack(path);
    read = 0;
    // A minute after the file was written: nothing can still be happening to it unseen.
    now = statSync(path).ctimeMs + minute;
    cache = new DigestCache(
      () => now,
      (file) => {
        read++;
        return sha256File(file);
      },
    );
  });

  it('spares a second reading while nothing changes', async () => {
    expect(await cache.sha256File(path)).toBe(sha256('light'));
    expect(await cache.sha256File(path)).toBe(sha256('light'));
    expect(read).toBe(1);
  });

  it('is not believed when the content changed, though length and time of change were set back', async () => {
    await cache.sha256File(path);
    writeFileSync(path, 'night');
    setBack(path);
    expect(await cache.sha256File(path)).toBe(sha256('night'));
  });

  it('is not believed when another file took the place', async () => {
    await cache.sha256File(path);
    writeFileSync(`${path}.other`, 'night');
    setBack(`${path}.other`);
    renameSync(`${path}.other`, path);
    expect(await cache.sha256File(path)).toBe(sha256('night'));
  });

  it('is not kept of a file that changed a moment ago: the next change could bear the same time', async () => {
    now = statSync(path).ctimeMs + 500;
    await cache.sha256File(path);
    await cache.sha256File(path);
    expect(read).toBe(2);
  });

  it('is read again after ten minutes in any case', async () => {
    await cache.sha256File(path);
    now += 11 * minute;
    await cache.sha256File(path);
    expect(read).toBe(2);
  });

  it('of a file that is gone is none', async () => {
    await cache.sha256File(path);
    renameSync(path, `${path}.gone`);
    await expect(cache.sha256File(path)).rejects.toThrow('ENOENT');
  });
});
