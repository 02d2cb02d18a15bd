import { createHash } from 'node:crypto';
import { join } from 'node:path';
import * as z from 'zod';
import { ArchiveError, fileSystemError } from './archive-error.ts';
import { isPlainlySpelled, otherSpelling } from './own-spelling.ts';
import { openPlainFile, readPlainFile, readSmallFile } from './plain-file.ts';
import { isSafeFileName } from './safe-file-name.ts';

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
    text = (await readPlainFile(path)).toString('utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw fileSystemError(error, `reading ${path}`);
  }
  return parseManifest(text, path);
}

export function parseManifest(text: string, path: string): Manifest {
  try {
    const manifest = manifestSchema.parse(JSON.parse(text));
    mustBeOwn(manifest, text, path);
    return manifest;
  } catch (error) {
    if (error instanceof ArchiveError) throw error;
    const why = error instanceof z.ZodError ? z.prettifyError(error) : (error as Error).message;
    throw new ArchiveError('damaged', `${path} is not a manifest of a run: ${why}`, {
      cause: error,
    });
  }
}

/** Files that a run has, each once, and no key twice: two readers cannot read two lists out of it. */
function mustBeOwn(manifest: Manifest, text: string, path: string): void {
  const damaged = (why: string): never => {
    throw new ArchiveError('damaged', `${path} is not a manifest of a run: ${why}`);
  };
  const names = manifest.files.map(({ file }) => file);
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  if (twice !== undefined) damaged(`it lists ${JSON.stringify(twice)} twice`);
  const strange = names.find((name) => !isFileOfRun(name));
  if (strange !== undefined) damaged(`no run has a file ${JSON.stringify(strange)}`);
  // Names have no blanks: but for line ends there is one spelling.
  if (!isPlainlySpelled(text.replace(/\s/g, ''))) damaged(`it ${otherSpelling}`);
}

/** Plain names: at the top, or below the folders that a run has. */
export function isFileOfRun(name: string): boolean {
  const [folder = '', ...below] = name.split('/');
  const depth = { captures: 1, pieces: 2 }[folder] ?? 0;
  return below.length === depth && isSafeFileName(name);
}

export function sha256(data: string | Uint8Array): string {
  return createHash('sha256').update(data).digest('hex');
}

/**
 * Hash of a file of any size. A run has thousands of small ones, and handing each of their calls to the thread pool takes several times as
 * long as reading them: these are read at once, larger ones piecemeal.
 */
export async function sha256File(path: string): Promise<string> {
  const small = readSmallFile(path, mostAtOnce);
  if (small) return sha256(small);
  const hash = createHash('sha256');
  const handle = await openPlainFile(path);
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
