import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { type LedgerEntry, ledgerOf, readLedger } from './ledger.ts';
import { signoffsFolder } from './manifest.ts';
import type { RunIndex } from './open-index.ts';
import { lastDecision } from './signoff-files.ts';

interface Decided {
  readonly id: string;
  readonly folder: string;
  readonly decision: string | null;
}

/**
 * Holds decisions, as the index has them, against the sign-offs in the folders and the ledger, and mends the index: somebody may
 * have signed where the index could not be written to, or have brought sign-offs along from another computer. A list asks for
 * the runs that it is about to show: looking into every folder of a large archive would take longer than all else. A run that
 * has lost a sign-off that the ledger knows has the decision `missing`. Returns whether any was stale.
 */
export async function refreshDecisions(
  index: RunIndex,
  root: string,
  runs: Iterable<Decided> = allOf(index),
): Promise<boolean> {
  const listed = [...runs];
  const found = await decisionsIn(root, listed);
  const stale = listed.flatMap((run) => {
    const decision = found.get(run.folder) ?? null;
    return decision === run.decision ? [] : [{ ...run, decision }];
  });
  const update = index.prepare('UPDATE run SET decision = @decision WHERE folder = @folder');
  index.transaction(() => {
    for (const { folder, decision } of stale) update.run({ folder, decision });
  });
  return stale.length > 0;
}

/** The newest decision of each run, by its folder, as folder and ledger have it; null where nobody signed. */
export async function decisionsIn(
  root: string,
  runs: readonly Pick<Decided, 'id' | 'folder'>[],
): Promise<ReadonlyMap<string, string | null>> {
  const entered = await enteredByRun(root);
  const found = new Map<string, string | null>();
  for (const { id, folder } of runs) {
    const path = join(root, folder);
    const entries = entered.get(id) ?? [];
    const isMissing = entries.some(({ signoff }) => !existsSync(join(path, signoff)));
    const isBare = entries.length === 0 && !existsSync(join(path, signoffsFolder));
    found.set(folder, isMissing ? 'missing' : isBare ? null : await lastDecision(path));
  }
  return found;
}

/** A ledger that is damaged says nothing here; `evenfall verify` says that it is. */
async function enteredByRun(root: string): Promise<ReadonlyMap<string, LedgerEntry[]>> {
  const ledger = await readLedger(ledgerOf(root)).catch(() => null);
  const byRun = new Map<string, LedgerEntry[]>();
  for (const entry of ledger?.entries ?? [])
    byRun.set(entry.run, [...(byRun.get(entry.run) ?? []), entry]);
  return byRun;
}

function allOf(index: RunIndex): Decided[] {
  return index.prepare('SELECT id, folder, decision FROM run').all() as Decided[];
}
