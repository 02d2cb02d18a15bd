import type { Rig } from '../bench/rig.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import type { RigNeed } from './verbs/verb.ts';
import { allSteps, type Step, verbOf } from './verbs/verbs.ts';

/** What a stimulus needs and the rig does not have, a sentence for each step that cannot be carried out. */
export function rigLacks(stimulus: readonly Step[], rig: Rig): readonly string[] {
  return allSteps(stimulus).flatMap((step) => lackOf(verbOf(step).needs(step), rig) ?? []);
}

function lackOf({ link, supply }: RigNeed, rig: Rig): string | null {
  if (link !== undefined && !Object.hasOwn(rig.links, link)) {
    const has = Object.keys(rig.links).join(', ') || 'none';
    return `needs the ${link} link, but rig ${rig.rig} has ${has}; add ${link} to its links, or leave the claim to a rig that has it`;
  }
  if (!supply) return null;
  if (rig.switch && supply.volts === undefined) return null;
  if (!rig.supply)
    return `changes the supply, but rig ${rig.rig} has none that can be set; add "supply" to the rig, or leave the claim to a rig that has one`;
  const { highestVolts } = rig.supply;
  if (supply.volts === undefined || supply.volts <= highestVolts) return null;
  const [wanted, most] = [supply.volts, highestVolts].map((own) => formatQuantity(own, 'voltage'));
  return `sets the supply to ${wanted}, but rig ${rig.rig} allows at most ${most}`;
}
