import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { signoffsFolder } from './manifest.ts';
import type { RunIndex } from './open-index.ts';
import { lastDecision } from './signoff-files.ts';

interface Decided {
  readonly folder: string;
  readonly decision: string | null;
}

/**
 * Holds decisions, as the index has them, against the sign-offs in the folders, and mends the index: somebody may have
 * signed where the index could not be written to, or have brought sign-offs along from another computer. A list asks for
 * the runs that it is about to show: looking into every folder of a large archive would take longer than all else.
 * Returns whether any was stale.
 */
export async function refreshDecisions(
  index: RunIndex,
  root: string,
  runs: Iterable<Decided> = allOf(index),
): Promise<boolean> {
  const stale: Decided[] = [];
  for (const { folder, decision } of runs) {
    if (decision === null && !existsSync(join(root, folder, signoffsFolder))) continue;
    const found = await lastDecision(join(root, folder));
    if (found !== decision) stale.push({ folder, decision: found });
  }
  const update = index.prepare('UPDATE run SET decision = @decision WHERE folder = @folder');
  index.transaction(() => {
    for (const row of stale) update.run(row);
  })();
  return stale.length > 0;
}

function allOf(index: RunIndex): Decided[] {
  return index.prepare('SELECT folder, decision FROM run').all() as Decided[];
}
