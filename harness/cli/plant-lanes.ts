import { availableParallelism } from 'node:os';
import type { Lane } from '../run/lane.ts';
import { PlantLane, type PlantWorkerData } from './plant-lane.ts';

/** One worker per core unless told otherwise; never more than there are conditions. */
export function openPlantLanes(
  wanted: number | undefined,
  conditions: number,
  firmware?: PlantWorkerData['firmware'],
): Lane[] {
  const count = Math.max(1, Math.min(wanted ?? availableParallelism(), conditions));
  return Array.from({ length: count }, () => new PlantLane(firmware));
}

/** The same lane for one run of several: the run may not close it. */
export function lent(lane: Lane): Lane {
  return {
    repeatable: true,
    execute: (task, signal) => lane.execute(task, signal),
    safe: () => lane.safe(),
    close: async () => {},
  };
}
