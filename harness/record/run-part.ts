import type { RunRecord } from './run-record.ts';

/** What a run did of what it was pointed at: one shard of several, or the claims that were picked by name. */
export type RunPart = 'shard' | 'claims';

/** Null for a run of the whole; a merged run is one. */
export function partOf({ selection }: Pick<RunRecord, 'selection'>): RunPart | null {
  const { shard, only, failedIn } = selection;
  if (shard) return 'shard';
  return only || failedIn !== undefined ? 'claims' : null;
}
