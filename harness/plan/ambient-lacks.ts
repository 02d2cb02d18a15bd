import type { Lamp } from '../bench/lamp.ts';
import type { Rig } from '../bench/rig.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import type { Condition } from './plan.ts';
import { allSteps } from './verbs/verbs.ts';

/** Why a condition cannot have the air that it asks for, in a sentence: the rig cannot give it, or the lamp may not have it. */
export function ambientLacks(
  { ambient, stimulus }: Pick<Condition, 'ambient' | 'stimulus'>,
  { rig, lamp }: { readonly rig: Rig; readonly lamp: Lamp },
): readonly string[] {
  const moved = allSteps(stimulus).flatMap((step) =>
    step.verb === 'ambient' ? [step.celsius] : [],
  );
  const all = [...(ambient ? [ambient.celsius] : []), ...moved];
  const [first] = all;
  if (first === undefined) return [];
  const { chamber } = rig;
  const wanted = formatQuantity(first, 'temperature');
  if (!chamber)
    return [
      `needs the air about the lamp at ${wanted}, but rig ${rig.rig} has no chamber; add "chamber" to the rig, or leave the claim to a rig that has one`,
    ];
  return all.flatMap((celsius) => [
    ...beyond(celsius, chamber, `the chamber of rig ${rig.rig} may have`),
    ...(lamp.ambient ? beyond(celsius, lamp.ambient, `lamp ${lamp.lamp} is rated for`) : []),
  ]);
}

function beyond(
  celsius: number,
  { lowest, highest }: { readonly lowest: number; readonly highest: number },
  what: string,
): readonly string[] {
  if (celsius >= lowest && celsius <= highest) return [];
  const [wanted, least, most] = [celsius, lowest, highest].map((each) =>
    formatQuantity(each, 'temperature'),
  );
  return [`needs the air about the lamp at ${wanted}, but ${what} ${least} to ${most} only`];
}
