import { join } from 'node:path';
import type { Problem } from './check-seal.ts';
import type { Ledger, LedgerEntry } from './ledger.ts';
import { sha256, signoffsFolder } from './manifest.ts';
import { readPlainFile } from './plain-file.ts';
import { listSignoffFiles, releaseSuffix } from './signoff-files.ts';

/** A sign-off as it lies in a run's folder. */
export interface StoredSignoff {
  readonly number: number;
  readonly signoff: string;
  readonly sha256: string;
}

/** The sign-offs of a folder in their order, unproven. */
export async function storedSignoffs(folder: string): Promise<StoredSignoff[]> {
  const files = (await listSignoffFiles(folder)).filter((file) => file.endsWith(releaseSuffix));
  return Promise.all(
    files.map(async (signoff) => ({
      number: Number.parseInt(signoff.slice(signoffsFolder.length + 1), 10),
      signoff,
      sha256: sha256(await readPlainFile(join(folder, signoff))),
    })),
  );
}

/** What the ledger has of a run and the run's folder has not, in sentences. `manifest`: SHA-256 of the one that lies there. */
export function ledgerProblems(
  entries: readonly LedgerEntry[],
  stored: readonly StoredSignoff[],
  manifest: string | null,
): Problem[] {
  const problems: Problem[] = [];
  const other = entries.find((entry) => entry.manifest !== manifest);
  if (other) {
    const text = `is not the one that was signed: line ${other.line} of the ledger of decisions, of ${other.time}, has another; the run was put in the place of the one that was decided on`;
    problems.push({ file: 'manifest.json', text });
  }
  for (const { signoff, sha256: digest, line, time, number } of entries) {
    const found = stored.find((one) => one.signoff === signoff);
    if (found && found.number !== number) {
      const text = `is number ${number} in line ${line} of the ledger of decisions, of ${time}`;
      problems.push({ file: signoff, text });
    }
    if (found?.sha256 === digest) continue;
    const what = found ? 'is not the sign-off' : 'is missing: it was deleted after it was entered';
    const text = `${what} in line ${line} of the ledger of decisions, of ${time}`;
    problems.push({ file: signoff, text });
  }
  return problems;
}

/** Sign-offs of the folder that the ledger has no line of: signed elsewhere, before it was kept, or cut off before the line. */
export function unentered(
  entries: readonly LedgerEntry[],
  stored: readonly StoredSignoff[],
): StoredSignoff[] {
  return stored.filter((one) => !entries.some(({ signoff }) => signoff === one.signoff));
}

/** A line that was cut off names a sign-off that was there before it: where it is gone, somebody took it away. */
export function tornProblems(
  { tornSignoff }: Ledger,
  run: string | null,
  stored: readonly StoredSignoff[],
): Problem[] {
  if (tornSignoff === null || tornSignoff.run !== run) return [];
  const { signoff } = tornSignoff;
  if (stored.some((one) => one.signoff === signoff)) return [];
  const text =
    'is missing: it was deleted after a line of the ledger of decisions, since cut off, was begun for it';
  return [{ file: signoff, text }];
}

/** What the ledger has of one run. */
export function entriesOfRun(ledger: Ledger, run: string): LedgerEntry[] {
  return ledger.entries.filter((entry) => entry.run === run);
}
