import { debuggerImage } from '../../../drivers/plant/firmware/debug/debugger-image.ts';
import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import type { PauseAt } from '../../../drivers/plant/firmware/firmware-pause.ts';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { runCondition } from '../../run/condition/run-condition.ts';
import type { ConditionResult, ConditionTask, Lane } from '../../run/engine/lane.ts';
import { withoutProtocol } from '../lanes/foreign-protocol.ts';
import { withoutTime } from '../lanes/timeless-firmware.ts';
import { wallClock } from '../wall-clock.ts';

/**
 * A lane of the simulated lamp in this thread, where a debugger is attached, with everything recorded. Nobody ends firmware that does not
 * return from a call: it may be waiting for a person.
 */
export class PausedLane implements Lane {
  readonly repeatable = true;
  readonly #firmware: FirmwareImage;
  readonly #pauseAt: PauseAt;

  constructor(firmware: FirmwareImage, pauseAt: PauseAt) {
    this.#firmware = debuggerImage(firmware);
    this.#pauseAt = pauseAt;
  }

  async execute(task: ConditionTask, signal: AbortSignal): Promise<ConditionResult> {
    const { lamp, rig, seed, lampSeed, faults } = task;
    const parts = { firmware: this.#firmware, everything: true, pauseAt: this.#pauseAt };
    const open = () => openPlantBench({ lamp, rig, seed, lampSeed, faults, ...parts });
    return (
      withoutTime(task, this.#firmware) ??
      withoutProtocol(task, this.#firmware) ??
      runCondition(task, open, signal, { wallNow: wallClock.now })
    );
  }

  async safe(): Promise<{ confirmed: boolean; detail: string }> {
    return { confirmed: true, detail: 'simulated lamp: each condition ends with its plant' };
  }

  async close(): Promise<void> {}
}
