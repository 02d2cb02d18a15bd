import { mkdir, readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import * as z from 'zod';
import { type Lease, leaseSchema } from '../protocol.ts';

const heldSchema = z.strictObject({
  lease: leaseSchema,
  /** Id of the run that was begun for it; null where none was. */
  run: z.string().nullable(),
});
export type Held = z.infer<typeof heldSchema>;

/** The shard that a rig has, in a file of its folder: a program that was killed knows it again when it starts. */
export class HeldLease {
  readonly #folder: string;

  constructor(folder: string) {
    this.#folder = folder;
  }

  get #file(): string {
    return join(this.#folder, 'lease.json');
  }

  async keep(lease: Lease, run: string | null): Promise<void> {
    await mkdir(this.#folder, { recursive: true });
    await writeFileAtomic(this.#file, `${JSON.stringify({ lease, run })}\n`);
  }

  /** Null where there is none, or where what lies there cannot be read: the lab then hands the shard on. */
  async read(): Promise<Held | null> {
    const text = await readFile(this.#file, 'utf8').catch(() => null);
    if (text === null) return null;
    try {
      return heldSchema.parse(JSON.parse(text));
    } catch {
      return null;
    }
  }

  async clear(): Promise<void> {
    await rm(this.#file, { force: true });
  }
}
