import type { Lamp } from '../../../harness/bench/lamp.ts';
import { healthyLinkTraits, type LinkTraits } from '../links/traits.ts';
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

/** What of the way to the lamp is no matter of its network interface. */
const wayAlone: readonly string[] = [
  'loses',
  'latency',
  'serialRate',
] satisfies (keyof LinkTraits)[];

/** Whether a fault acts in the network interface alone, which firmware that takes datagrams does not have. */
export function isOfNetworkNode(fault: Pick<Fault, 'apply' | 'size'>, lamp: Lamp): boolean {
  const parts = partsOfFault(fault, lamp);
  if (parts.size !== 1 || !parts.has('links')) return false;
  const model = healthyModel(lamp, 1);
  fault.apply(model, fault.size.nominal, lamp);
  const healthy: object = healthyLinkTraits;
  const changed = Object.entries(model.links).filter(
    ([trait, value]) => Reflect.get(healthy, trait) !== value,
  );
  return changed.every(([trait]) => !wayAlone.includes(trait));
}
