import { createHash } from 'node:crypto';
import { open, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as z from 'zod';
import { ArchiveError, fileSystemError } from './archive-error.ts';

/** The seal of a run: every file of the folder but itself and the sign-offs. Written last, so its presence means complete. */
export const manifestFile = 'manifest.json';
/** Sign-offs come after the seal; each carries the manifest's hash. */
export const signoffsFolder = 'signoffs';

const storedFileSchema = z.strictObject({
  file: z.string(),
  bytes: z.number().int().nonnegative(),
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
});
const manifestSchema = z.strictObject({
  format: z.literal('evenfall-manifest'),
  version: z.literal(1),
  run: z.string(),
  files: z.array(storedFileSchema),
});

export type StoredFile = z.infer<typeof storedFileSchema>;
export type Manifest = z.infer<typeof manifestSchema>;

/** One file a line, sorted: plain tools can read it (see reports/README.md). */
export function manifestText({ run, files }: Pick<Manifest, 'run' | 'files'>): string {
  const sorted = [...files].sort((a, b) => (a.file < b.file ? -1 : a.file > b.file ? 1 : 0));
  const lines = sorted.map((file) => JSON.stringify(file)).join(',\n');
  return `{"format":"evenfall-manifest","version":1,"run":${JSON.stringify(run)},"files":[\n${lines}\n]}\n`;
}

/** The manifest of a run folder, or null where there is none (the run is unfinished). */
export async function readManifest(folder: string): Promise<Manifest | null> {
  const path = join(folder, manifestFile);
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw fileSystemError(error, `reading ${path}`);
  }
  return parseManifest(text, path);
}

export function parseManifest(text: string, path: string): Manifest {
  try {
    return manifestSchema.parse(JSON.parse(text));
  } catch (error) {
    const why = error instanceof z.ZodError ? z.prettifyError(error) : (error as Error).message;
    throw new ArchiveError('damaged', `${path} is not a manifest of a run: ${why}`, {
      cause: error,
    });
  }
}

export function sha256(data: string | Uint8Array): string {
  return createHash('sha256').update(data).digest('hex');
}

/** Hash of a file of any size, read piecemeal. A run has hundreds of small ones: a stream for each takes twice as long. */
export async function sha256File(path: string): Promise<string> {
  const hash = createHash('sha256');
  const handle = await open(path);
  try {
    const { size } = await handle.stat();
    const piece = Buffer.allocUnsafe(Math.min(size + 1, mostAtOnce));
    for (;;) {
      const { bytesRead } = await handle.read(piece, 0, piece.length, null);
      if (bytesRead === 0) return hash.digest('hex');
      hash.update(piece.subarray(0, bytesRead));
    }
  } finally {
    await handle.close();
  }
}

const mostAtOnce = 1 << 20;
