import { readFileSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import type { LockHolder } from './lock-file.ts';

/** Beside the locks: a rig was taken from the run that has it. The run looks for it before it keeps a verdict. */
export interface TakenNote {
  /** What the run says of it, in a sentence. */
  readonly why: string;
}

function noteFile(folder: string, token: string): string {
  return join(folder, `evenfall-${token}.taken.json`);
}

/** To be written before the instruments are touched. Rejects where it cannot be written. */
export async function writeTakenNote(
  folder: string,
  { token }: Pick<LockHolder, 'token'>,
  note: TakenNote,
): Promise<void> {
  if (token !== undefined)
    await writeFileAtomic(noteFile(folder, token), `${JSON.stringify(note)}\n`);
}

export function readTakenNote(folder: string, token: string): TakenNote | null {
  try {
    return JSON.parse(readFileSync(noteFile(folder, token), 'utf8'));
  } catch {
    return null;
  }
}

export async function removeTakenNote(folder: string, { token }: LockHolder): Promise<void> {
  if (token !== undefined) await rm(noteFile(folder, token), { force: true }).catch(() => {});
}
