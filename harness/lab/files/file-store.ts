import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { type FileHandle, link, mkdir, open, readdir, rename, rm, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { Refusal } from '../refusal.ts';
import { ifMissing } from './if-missing.ts';
import { StoredFiles } from './stored-files.ts';

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
 * whose digest is another than it was said to be. Who is told that a file is here can rely on it for as long as a clearing spares what
 * is fresh.
 */
export class FileStore {
  readonly #folder: string;
  readonly #stored: StoredFiles;

  constructor(folder: string) {
    this.#folder = folder;
    this.#stored = new StoredFiles(folder);
  }

  /** Those that are not there. The others are fresh from now on. */
  async missing(digests: readonly string[]): Promise<readonly string[]> {
    const lacking: string[] = [];
    for (const digest of new Set(digests))
      if (!(await this.#stored.freshen(checked(digest)))) lacking.push(digest);
    return lacking;
  }

  /** Rejects with a Refusal `missing` unless all are here; they are fresh from now on. `what` they are, for its message. */
  async mustHave(digests: readonly string[], what: string): Promise<void> {
    const lacking = await this.missing(digests);
    if (lacking.length === 0) return;
    const text = `expected all ${what} to be here, found ${lacking.length} missing`;
    throw new Refusal('missing', `${text}; send them again`);
  }

  /** A file, open. Rejects with a Refusal where it is not there. */
  async open(digest: string): Promise<FileHandle> {
    const handle = await this.#stored.use(checked(digest), (path) => open(path));
    if (handle) return handle;
    throw new Refusal('not-found', `no file ${digest} is stored here`);
  }

  /** Rejects with a Refusal where it is not there. */
  async read(digest: string): Promise<Buffer> {
    const handle = await this.open(digest);
    try {
      return await handle.readFile();
    } finally {
      await handle.close();
    }
  }

  /** Puts a file at a path of a folder of the same file system, without copying its bytes. Rejects with a Refusal `missing` where it is not there. */
  async place(digest: string, path: string): Promise<void> {
    await mkdir(dirname(path), { recursive: true });
    const placed = await this.#stored.use(checked(digest), async (from) => {
      await link(from, path);
      return true;
    });
    if (!placed) throw new Refusal('missing', `no file ${digest} is stored here; send it again`);
  }

  /** What a clearing may take away of what is stored. */
  get stored(): StoredFiles {
    return this.#stored;
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
    const isWhole = await this.#stored.freshen(checked(digest));
    const path = isWhole ? this.#stored.path(digest) : this.#partial(digest, sender);
    return (await sizeOf(path)) ?? 0;
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
    if (await this.#stored.freshen(checked(digest))) return;
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

  async #keep(digest: string, partial: string): Promise<void> {
    const hash = createHash('sha256');
    await pipeline(createReadStream(partial), hash);
    const found = hash.digest('hex');
    if (found !== digest) {
      await rm(partial, { force: true });
      throw new Refusal('invalid', `expected bytes whose digest is ${digest}, found ${found}`);
    }
    const path = this.#stored.path(digest);
    await mkdir(dirname(path), { recursive: true });
    await rename(partial, path);
    // Its last piece may be older than its end.
    await this.#stored.freshen(digest);
  }

  #partial(digest: string, sender: string): string {
    const by = createHash('sha256').update(sender).digest('hex').slice(0, 16);
    return join(this.#folder, 'partial', `${checked(digest)}-${by}`);
  }
}

function checked(digest: string): string {
  if (/^[0-9a-f]{64}$/.test(digest)) return digest;
  throw new Refusal('invalid', 'expected a SHA-256 digest of 64 hexadecimal digits');
}

async function sizeOf(path: string): Promise<number | null> {
  const found = await stat(path).catch(ifMissing(null));
  return found?.size ?? null;
}
