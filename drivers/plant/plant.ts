import type { Lamp } from '../../harness/bench/lamp.ts';
import type { PlantModel } from './model.ts';
import type { Simulation } from './simulation.ts';

/** What the instruments look at. */
export interface Plant {
  readonly lamp: Lamp;
  readonly model: PlantModel;
  readonly simulation: Simulation;
}
