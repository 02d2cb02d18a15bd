import type { Lamp } from '../../../harness/bench/lamp.ts';
import { healthyModel, type PlantModel } from '../model.ts';
import type { Fault } from './fault.ts';

/**
 * The parts of the lamp in which a fault acts. One in `firmware` is a defect of the reference firmware alone: another build does not
 * have it.
 */
export function partsOfFault(
  { apply, size }: Pick<Fault, 'apply' | 'size'>,
  lamp: Lamp,
): ReadonlySet<keyof PlantModel> {
  const parts = new Set<keyof PlantModel>();
  const watched = new Proxy(healthyModel(lamp, 1), {
    get(model, part: keyof PlantModel) {
      parts.add(part);
      return model[part];
    },
  });
  apply(watched, size.nominal, lamp);
  return parts;
}
