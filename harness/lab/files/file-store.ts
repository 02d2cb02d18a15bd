import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { link, mkdir, open, readdir, readFile, rename, rm, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { Refusal } from '../refusal.ts';

/** Largest file that is taken, bytes. */
const mostBytes = 2 ** 30;

/** A piece of a file that is being sent. */
export interface FilePiece {
  readonly digest: string;
  /** Who sends it: what two send at once does not mix. */
  readonly sender: string;
  /** Bytes before this piece, and of the whole file. */
  readonly from: number;
  readonly of: number;
  readonly bytes: AsyncIterable<Uint8Array>;
}

/**
 * Files by their digest (SHA-256, hex), each once. A file that was cut off while it was sent goes on where it ended. Nothing comes in
 * whose digest is another than it was said to be.
 */
export class FileStore {
  readonly #folder: string;

  constructor(folder: string) {
    this.#folder = folder;
  }

  /** Where a file lies, whether it is there or not. */
  path(digest: string): string {
    if (!/^[0-9a-f]{64}$/.test(digest))
      throw new Refusal('invalid', 'expected a SHA-256 digest of 64 hexadecimal digits');
    return join(this.#folder, digest.slice(0, 2), digest);
  }

  async has(digest: string): Promise<boolean> {
    return (await sizeOf(this.path(digest))) !== null;
  }

  /** Those that are not there. */
  async missing(digests: readonly string[]): Promise<readonly string[]> {
    const lacking: string[] = [];
    for (const digest of new Set(digests)) if (!(await this.has(digest))) lacking.push(digest);
    return lacking;
  }

  /** Rejects with a Refusal where it is not there. */
  async read(digest: string): Promise<Buffer> {
    try {
      return await readFile(this.path(digest));
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
      throw new Refusal('not-found', `no file ${digest} is stored here`);
    }
  }

  /** Puts a file at a path of a folder of the same file system, without copying its bytes. */
  async place(digest: string, path: string): Promise<void> {
    await mkdir(dirname(path), { recursive: true });
    await link(this.path(digest), path);
  }

  /** Bytes of all files, those that are still coming too. Looks at each of them. */
  async bytes(): Promise<number> {
    const folders = await readdir(this.#folder).catch(ifMissing([]));
    let bytes = 0;
    for (const folder of folders) {
      const path = join(this.#folder, folder);
      const names = await readdir(path).catch(ifMissing([]));
      const sizes = await Promise.all(names.map((name) => sizeOf(join(path, name))));
      bytes += sizes.reduce<number>((sum, size) => sum + (size ?? 0), 0);
    }
    return bytes;
  }

  /** How many bytes of it have come from this sender. */
  async received(digest: string, sender: string): Promise<number> {
    const whole = await sizeOf(this.path(digest));
    return whole ?? (await sizeOf(this.#partial(digest, sender))) ?? 0;
  }

  /**
   * Takes a piece. Rejects with a Refusal: `conflict` where the bytes before it are not there, `too-large`, or `invalid` where the whole
   * has another digest, which removes it.
   */
  async add({ digest, sender, from, of, bytes }: FilePiece): Promise<void> {
    if (of > mostBytes) {
      const limit = `${mostBytes / 2 ** 30} GiB`;
      throw new Refusal('too-large', `expected a file of at most ${limit}, found ${of} bytes`);
    }
    if (await this.has(digest)) return;
    const partial = this.#partial(digest, sender);
    await mkdir(dirname(partial), { recursive: true });
    const before = (await sizeOf(partial)) ?? 0;
    if (before !== from) {
      const text = `expected the file to go on at byte ${before}, found byte ${from}`;
      throw new Refusal('conflict', text);
    }
    const handle = await open(partial, 'a', 0o600);
    let size = before;
    try {
      for await (const piece of bytes) {
        size += piece.length;
        if (size > of) throw new Refusal('invalid', `expected ${of} bytes, found more`);
        await handle.writeFile(piece);
      }
      if (size === of) await handle.sync();
    } catch (error) {
      if (error instanceof Refusal) await rm(partial, { force: true });
      throw error;
    } finally {
      await handle.close();
    }
    if (size === of) await this.#keep(digest, partial);
  }

  /** Stores bytes of our own. */
  async put(content: string | Uint8Array): Promise<string> {
    const bytes = Buffer.from(content);
    const digest = createHash('sha256').update(bytes).digest('hex');
    const pieces = (async function* () {
      yield bytes;
    })();
    await rm(this.#partial(digest, 'lab'), { force: true });
    await this.add({ digest, sender: 'lab', from: 0, of: bytes.length, bytes: pieces });
    return digest;
  }

  async #keep(digest: string, partial: string): Promise<void> {
    const hash = createHash('sha256');
    await pipeline(createReadStream(partial), hash);
    const found = hash.digest('hex');
    if (found !== digest) {
      await rm(partial, { force: true });
      throw new Refusal('invalid', `expected bytes whose digest is ${digest}, found ${found}`);
    }
    const path = this.path(digest);
    await mkdir(dirname(path), { recursive: true });
    await rename(partial, path);
  }

  #partial(digest: string, sender: string): string {
    this.path(digest);
    const by = createHash('sha256').update(sender).digest('hex').slice(0, 16);
    return join(this.#folder, 'partial', `${digest}-${by}`);
  }
}

async function sizeOf(path: string): Promise<number | null> {
  const found = await stat(path).catch(ifMissing(null));
  return found?.size ?? null;
}

/** What takes the place of something that is not there; every other error goes on. */
function ifMissing<Value>(instead: Value) {
  return (error: NodeJS.ErrnoException): Value => {
    if (error.code === 'ENOENT') return instead;
    throw error;
  };
}
