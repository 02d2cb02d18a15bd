import { randomUUID } from 'node:crypto';
import { link, mkdir, open, readdir, rename, rm, stat, unlink, utimes } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { ifMissing } from './if-missing.ts';

/** Tries to use a file that others take away and bring back. */
const mostTries = 10;

export interface StoredFile {
  readonly digest: string;
  /** ms since the epoch: when it came, or was last asked for. */
  readonly freshAt: number;
}

/**
 * The whole files of a store, and how one is taken away while others may ask for it. A file's time of change says when it was last told
 * to be here. It is taken away in two steps: first it is moved to the folder `leaving`, under a name that nobody else has, then it is removed,
 * unless it turns out to have become fresh meanwhile. Whoever misses a file looks in `leaving`, too, and brings it back. So a file
 * that was told to be here stays, in whatever order several services do this, and wherever one of them is killed.
 */
export class StoredFiles {
  readonly #folder: string;

  constructor(folder: string) {
    this.#folder = folder;
  }

  /** Where a file lies, whether it is there or not. */
  path(digest: string): string {
    return join(this.#folder, digest.slice(0, 2), digest);
  }

  /** Whether a file is there; it is fresh from now on. */
  async freshen(digest: string): Promise<boolean> {
    const now = new Date();
    const found = await this.use(digest, async (path) => {
      await utimes(path, now, now);
      return true;
    });
    return found ?? false;
  }

  /** What `work` makes of a file at its path; null where there is none. */
  async use<Result>(
    digest: string,
    work: (path: string) => Promise<Result>,
  ): Promise<Result | null> {
    for (let tries = 0; tries < mostTries; tries++) {
      const done = await work(this.path(digest)).catch(ifMissing(null));
      if (done !== null) return done;
      if (!(await this.#bringBack(digest))) return null;
    }
    return null;
  }

  /** All files, and when they were fresh. */
  async *all(): AsyncGenerator<StoredFile> {
    const folders = await readdir(this.#folder).catch(ifMissing([]));
    for (const folder of folders.filter((name) => /^[0-9a-f]{2}$/.test(name)))
      for (const digest of await readdir(join(this.#folder, folder))) {
        const found = await stat(this.path(digest)).catch(ifMissing(null));
        if (found) yield { digest, freshAt: found.mtimeMs };
      }
  }

  /** Removes a file that was not fresh since `before`, ms since the epoch. Its bytes; null where it stays, or has gone already. */
  async remove(digest: string, before: number): Promise<number | null> {
    await mkdir(this.#leaving, { recursive: true });
    const away = join(this.#leaving, `${digest}-${randomUUID()}`);
    const moved = await rename(this.path(digest), away).then(() => true, ifMissing(false));
    // Opened and not only looked at: on a shared file system an older look may be remembered.
    const handle = moved ? await open(away).catch(ifMissing(null)) : null;
    if (!handle) return null;
    const { mtimeMs, size } = await handle.stat();
    await handle.close();
    if (mtimeMs >= before) {
      await this.#putBack(away);
      return null;
    }
    return unlink(away).then(() => size, ifMissing(null));
  }

  /** Brings back what a service had moved aside that was killed then, and removes pieces of files that nobody goes on with. */
  async tidy(before: number): Promise<void> {
    for (const name of await readdir(this.#leaving).catch(ifMissing([])))
      await this.#putBack(join(this.#leaving, name));
    const partial = join(this.#folder, 'partial');
    for (const name of await readdir(partial).catch(ifMissing([]))) {
      const found = await stat(join(partial, name)).catch(ifMissing(null));
      if (found && found.mtimeMs < before) await rm(join(partial, name), { force: true });
    }
  }

  get #leaving(): string {
    return join(this.#folder, 'leaving');
  }

  /** Whether the file is there again. It keeps its name in `leaving`, which is its mover's to remove. */
  async #bringBack(digest: string): Promise<boolean> {
    for (const name of await readdir(this.#leaving).catch(ifMissing([])))
      if (name.startsWith(digest) && (await this.#linkBack(join(this.#leaving, name)))) return true;
    return false;
  }

  async #putBack(away: string): Promise<void> {
    if (await this.#linkBack(away)) await unlink(away).catch(ifMissing(undefined));
  }

  /** False where it has gone. What has come anew meanwhile stays as it is: it is fresher. */
  async #linkBack(away: string): Promise<boolean> {
    const [digest = ''] = /^[0-9a-f]{64}/.exec(basename(away)) ?? [];
    try {
      await link(away, this.path(digest));
      return true;
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      if (code === 'EEXIST') return true;
      if (code === 'ENOENT') return false;
      throw error;
    }
  }
}
