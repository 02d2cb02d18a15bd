import { lstat, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { removeRun } from '../../archive/add-run.ts';
import { findRuns, type RunRow } from '../../archive/find-runs.ts';
import type { RunIndex } from '../../archive/open-index.ts';
import { type PruneRule, prunable, pruneRun } from '../../archive/prune-runs.ts';
import { refreshDecisions } from '../../archive/refresh-decisions.ts';
import { plainLine } from '../../files/plain-text.ts';
import { counted } from '../../report/words/prose.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { askYes, canAsk } from '../common/ask-yes.ts';
import type { Io } from '../common/io.ts';

/** What a person sees before the question; the dry run names all. */
const mostNamed = 10;

interface Asked {
  readonly root: string;
  readonly rule: PruneRule;
  readonly dryRun: boolean;
  /** The question has been answered with the command. */
  readonly yes: boolean;
}

/** Throws where nobody can be asked and nobody has said yes. */
export function refuseUnasked({ dryRun, yes }: Pick<Asked, 'dryRun' | 'yes'>): void {
  if (dryRun || yes || canAsk()) return;
  const sentence =
    '--prune removes runs for good and asks first, but there is no terminal to ask on: add --yes, or --dry-run to see what would go';
  throw new Complaint('usage', sentence);
}

/** `evenfall runs --prune`: removes runs by a rule, once somebody has agreed. */
export async function prune(index: RunIndex, asked: Asked, io: Io): Promise<void> {
  const { root, rule, dryRun, yes } = asked;
  await refreshDecisions(index, root);
  const going = prunable(findRuns(index), rule);
  if (dryRun) {
    io.stderr(`Would remove ${whatGoes(going, await bytesOf(root, going), going.length)}`);
    return;
  }
  if (!yes && going.length > 0) {
    io.stderr(`To be removed: ${whatGoes(going, await bytesOf(root, going), mostNamed)}`);
    if (!(await askYes(`Remove ${counted(going.length, 'run')} for good?`, io))) {
      io.stderr('Removed nothing.\n');
      return;
    }
  }
  let removed = 0;
  for (const { folder } of going) {
    if (!(await pruneRun(root, folder))) continue;
    removeRun(index, folder);
    removed++;
  }
  io.stderr(`Removed ${counted(removed, 'run')}.\n`);
}

function whatGoes(going: readonly RunRow[], bytes: number, most: number): string {
  const names = going.slice(0, most).map(({ folder }) => `  ${plainLine(folder)}\n`);
  const more = going.length > most ? [`  and ${going.length - most} more\n`] : [];
  const size = `${(bytes / 1e6).toFixed(1)} MB`;
  return `${counted(going.length, 'run')} (${size}); signed ones stay:\n${[...names, ...more].join('')}`;
}

/** What lies in the runs' folders. What vanishes meanwhile counts for nothing. */
async function bytesOf(root: string, runs: readonly RunRow[]): Promise<number> {
  let sum = 0;
  for (const { folder } of runs) {
    const path = join(root, folder);
    for (const name of await readdir(path, { recursive: true }).catch(() => []))
      sum += await lstat(join(path, name)).then(
        (entry) => (entry.isFile() ? entry.size : 0),
        () => 0,
      );
  }
  return sum;
}
