import { join } from 'node:path';
import { readLedger } from '../../archive/ledger.ts';
import { manifestFile, sha256 } from '../../archive/manifest.ts';
import { readPlainFile } from '../../archive/plain-file.ts';
import { listSignoffFiles, wholeSignoffs } from '../../archive/signoff-files.ts';
import type { SeenRun } from '../protocol.ts';

/** What a run and the ledger of decisions are now, for somebody who wants to sign: any change of it asks them again. */
export async function seenRun(folder: string, ledger: string): Promise<SeenRun> {
  const digest = async (file: string): Promise<string> =>
    sha256(await readPlainFile(join(folder, file)));
  const files = wholeSignoffs(await listSignoffFiles(folder));
  return {
    manifest: await digest(manifestFile),
    signoffs: await Promise.all(files.map(async (file) => ({ file, sha256: await digest(file) }))),
    ledger: (await readLedger(ledger))?.head ?? null,
  };
}
