import type { Rig } from '../bench/rig.ts';
import type { Action, Schedule } from '../plan/schedule.ts';

/** What the stimulus needs of the rig and the rig does not have, in one sentence; null when it has everything. */
export function missingPart({ actions }: Schedule, rig: Rig): string | null {
  const links = Object.keys(rig.links);
  for (const { step } of actions) {
    const link = linkNamed(step);
    if (link !== undefined && !links.includes(link)) {
      return `rig ${rig.rig} carries no ${link} link (it has ${links.join(', ') || 'none'}); add it to the rig's links, or leave the claim to a rig that has it`;
    }
    if (step.verb === 'supply' && !rig.supply) {
      return `rig ${rig.rig} has no supply that can be set; add one to its instruments, or leave the claim to a rig that has it`;
    }
  }
  return null;
}

function linkNamed(step: Action['step']): string | undefined {
  if (step.verb === 'send') return step.message.link;
  const { verb } = step;
  if (verb === 'set' || verb === 'fade' || verb === 'carry' || verb === 'noise') return step.link;
  return undefined;
}
