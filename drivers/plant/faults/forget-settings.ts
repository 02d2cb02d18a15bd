import type { GearRegisters } from '../firmware/gear-registers.ts';
import type { PlantModel } from '../model.ts';

/** After a power cycle these settings are what is given, and the others as they were kept. */
export function forgetSettings(
  model: PlantModel,
  settings: (factory: GearRegisters) => Partial<GearRegisters>,
): void {
  const { gear } = model.firmware;
  model.firmware = {
    ...model.firmware,
    gear: {
      ...gear,
      kept: (registers, factory) => ({ ...gear.kept(registers, factory), ...settings(factory) }),
    },
  };
}
