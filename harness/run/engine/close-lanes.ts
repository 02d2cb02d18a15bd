import type { RunRecord } from '../../record/run-record.ts';
import type { Lane } from './lane.ts';

/** Commands the safe state on every lane and closes it, whatever fails on the way; says whether each was confirmed. */
export async function closeLanes(
  lanes: readonly Lane[],
  wall: { now(): string },
): Promise<RunRecord['safeState']> {
  const details = new Set<string>();
  let confirmed = true;
  for (const lane of lanes) {
    try {
      const state = await lane.safe();
      confirmed &&= state.confirmed;
      details.add(state.detail);
    } catch (error) {
      confirmed = false;
      details.add(error instanceof Error ? error.message : String(error));
    } finally {
      await lane.close();
    }
  }
  return { confirmed, at: wall.now(), detail: [...details].join('; ') };
}
