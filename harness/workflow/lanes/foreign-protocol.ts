import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import { allSteps, type Step } from '../../plan/verbs/verbs.ts';
import { conditionResult } from '../../run/condition/condition-result.ts';
import { Gathered } from '../../run/condition/gathered.ts';
import type { ConditionResult, ConditionTask } from '../../run/engine/lane.ts';
import { wallClock } from '../wall-clock.ts';

/**
 * A condition with raw sACN packets, of firmware that does not do the protocol by itself: the network interface of the simulated lamp
 * would be put to the test, and not the firmware, so that it is not run. Null where it can be.
 */
export function withoutProtocol(
  task: ConditionTask,
  firmware: FirmwareImage | undefined,
): ConditionResult | null {
  if (!firmware || firmware.takesDatagrams) return null;
  if (!allSteps(task.condition.stimulus).some(isRawSacn)) return null;
  const reason = `proves nothing of ${firmware.name}: sequence, priority, preview and synchronisation of sACN are done by the network interface of the simulated lamp, which hands its slots on as DMX512 frames; export lamp_receive_datagram() (lamp-port.h) to take the datagrams themselves, or prove the claim on a rig`;
  const base = { startedAt: wallClock.now(), duration: 0 };
  return conditionResult(task, base, new Gathered(), { verdict: 'not run', reason });
}

function isRawSacn(step: Step): boolean {
  if (step.verb === 'noise') return step.link === 'sacn';
  return step.verb === 'send' && step.message.link === 'sacn';
}
