import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import { conditionResult } from '../../run/condition/condition-result.ts';
import { Gathered } from '../../run/condition/gathered.ts';
import type { ConditionResult, ConditionTask } from '../../run/engine/lane.ts';
import { wallClock } from '../wall-clock.ts';

/**
 * A condition that looks at the busy pin of firmware that takes no time in the simulated lamp: whatever came of it would
 * prove nothing, so that it is not run. Null where it can be.
 */
export function withoutTime(
  task: ConditionTask,
  firmware: FirmwareImage | undefined,
): ConditionResult | null {
  const { lamp, condition } = task;
  if (!firmware || lamp.processor?.speed) return null;
  if (!condition.captures.some(({ signal }) => signal === 'busy')) return null;
  const reason = `the busy pin of ${firmware.name} says nothing: lamp ${lamp.lamp} does not state how fast its processor is, and its code takes no time then; add "processor: { speed: 20 MHz }" to the lamp file, with the instructions that it carries out a second, or prove the claim on a rig`;
  const base = { startedAt: wallClock.now(), duration: 0 };
  return conditionResult(task, base, new Gathered(), { verdict: 'not run', reason });
}
