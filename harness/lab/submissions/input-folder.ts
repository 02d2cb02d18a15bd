import { existsSync } from 'node:fs';
import { mkdir, mkdtemp, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { FileStore } from '../files/file-store.ts';
import type { InputFile, SubmissionRequest } from '../protocol.ts';

/** The input files of a submission, as it names them. */
export function inputsOf({
  lamp,
  specs,
  firmware,
  quarantine,
}: SubmissionRequest): readonly InputFile[] {
  return [lamp, ...specs, ...(firmware ? [firmware] : []), ...(quarantine ? [quarantine] : [])];
}

/** Digests of its input files. */
export function digestsOf(request: SubmissionRequest): readonly string[] {
  return inputsOf(request).map(({ digest }) => digest);
}

/** Lays the inputs out below a folder as they were named, once; the folder of a submission, for all that read files by their names. */
export async function layOutInputs(
  folder: string,
  request: SubmissionRequest,
  files: FileStore,
): Promise<string> {
  if (existsSync(folder)) return folder;
  const above = join(folder, '..');
  await mkdir(above, { recursive: true });
  const being = await mkdtemp(join(above, 'being-laid-out-'));
  try {
    const known = new Set<string>();
    for (const { file, digest } of inputsOf(request)) {
      if (known.has(file)) continue;
      known.add(file);
      await files.place(digest, join(being, file));
    }
    await rename(being, folder);
  } catch (error) {
    await rm(being, { recursive: true, force: true });
    // Somebody else was faster.
    if (!existsSync(folder)) throw error;
  }
  return folder;
}
