import type { Lamp } from '../bench/lamp.ts';
import type { Rig } from '../bench/rig.ts';
import type { Condition, Step } from '../plan/plan.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import type { Doubt } from './doubt.ts';
import { findWire } from './planned-judgement.ts';

/** Whether the rig has the inputs, links and supply that a condition asks for. */
export function checkReach(condition: Condition, rig: Rig, lamp: Lamp): Doubt[] {
  return [
    ...condition.captures.flatMap(({ signal }) =>
      findWire(rig, signal)
        ? []
        : [
            refuse(
              `needs a record of ${signal}, but rig ${rig.rig} has no input for it; add a line to its wiring`,
            ),
          ],
    ),
    ...condition.stimulus.flatMap((step) => checkStep(step, rig, lamp)),
  ];
}

function checkStep(step: Step, rig: Rig, lamp: Lamp): Doubt[] {
  if (step.verb === 'repeat') return step.steps.flatMap((inner) => checkStep(inner, rig, lamp));
  if (step.verb === 'supply') return checkSupply(step.volts, rig);
  const link = linkOf(step);
  if (link === undefined || link in rig.links) return [];
  const has = Object.keys(rig.links).join(', ');
  return [
    refuse(`needs the ${link} link, but rig ${rig.rig} carries ${has}; add "${link}" to its links`),
  ];
}

function linkOf(step: Step): string | undefined {
  if (step.verb === 'send') return step.message.link;
  const { verb } = step;
  if (verb === 'set' || verb === 'fade' || verb === 'carry' || verb === 'noise') return step.link;
  return undefined;
}

function checkSupply(volts: number | undefined, rig: Rig): Doubt[] {
  const { supply } = rig;
  if (!supply)
    return [
      refuse(
        `changes the supply, but rig ${rig.rig} has none that can be set; add "supply" to the rig`,
      ),
    ];
  if (volts === undefined || volts <= supply.highestVolts) return [];
  const [wanted, most] = [volts, supply.highestVolts].map((own) => formatQuantity(own, 'voltage'));
  return [refuse(`sets the supply to ${wanted}, but rig ${rig.rig} allows at most ${most}`)];
}

function refuse(message: string): Doubt {
  return { severity: 'refuse', metric: null, line: null, message };
}
