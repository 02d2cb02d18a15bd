import { availableParallelism } from 'node:os';
import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import type { Lane } from '../../run/engine/lane.ts';
import { PlantLane } from './plant-lane.ts';

/** One worker per core unless told otherwise; never more than there are conditions. `first` is one of them. */
export function openPlantLanes(
  first: PlantLane,
  wanted: number | undefined,
  conditions: number,
  firmware?: FirmwareImage,
): Lane[] {
  const count = Math.max(1, Math.min(wanted ?? availableParallelism(), conditions));
  const others = Array.from({ length: count - 1 }, () => new PlantLane(firmware));
  for (const lane of others) lane.start();
  return [first, ...others];
}

/** The same lane for one run of several: the run may not close it. */
export function lent(lane: Lane): Lane {
  return {
    repeatable: true,
    ahead: lane.ahead ?? 0,
    execute: (task, signal) => lane.execute(task, signal),
    safe: () => lane.safe(),
    close: async () => {},
  };
}
