import { statSync } from 'node:fs';
import { sha256File } from './manifest.ts';

/** The hash of a file, however it is come by. */
export type HashFile = (path: string) => Promise<string>;

/** A file that changed this recently could change once more within one tick of the file system's clock, ns. */
const settled = 2_000_000_000n;
/** After this long a file is read again in any case: a disk that rots does not tell, ms. */
const trusted = 10 * 60_000;

/**
 * Hashes of files that were read before by this very process, as long as nothing about them says that they changed:
 * file, length, time of the last change of its content and of its entry (which no program can set back). For pages that
 * are looked at again and again. A decision never rests on it: signing and `evenfall verify` read every byte.
 */
export class DigestCache {
  readonly #known = new Map<string, { mark: string; sha256: string; readAt: number }>();
  readonly #now: () => number;
  readonly #hash: HashFile;

  /** `now` ms since the epoch; `hash` reads the file. */
  constructor(now: () => number = Date.now, hash: HashFile = sha256File) {
    this.#now = now;
    this.#hash = hash;
  }

  readonly sha256File: HashFile = async (path) => {
    const before = markOf(path);
    const known = this.#known.get(path);
    const now = this.#now();
    if (known && known.mark === before.mark && now - known.readAt < trusted) return known.sha256;
    const sha256 = await this.#hash(path);
    const after = markOf(path);
    const quiet = BigInt(Math.floor(now)) * 1_000_000n - before.changed > settled;
    if (quiet && after.mark === before.mark) {
      this.#known.set(path, { mark: before.mark, sha256, readAt: now });
    } else this.#known.delete(path);
    return sha256;
  };
}

/** At once: for a thousand files, a turn of the event loop each would take longer than the looking. */
function markOf(path: string): { readonly mark: string; readonly changed: bigint } {
  const { dev, ino, size, mtimeNs, ctimeNs } = statSync(path, { bigint: true });
  return { mark: [dev, ino, size, mtimeNs, ctimeNs].join(), changed: ctimeNs };
}
