import { bottomDropout } from './bottom-dropout.ts';
import { breakNotAwaited } from './break-not-awaited.ts';
import { channelsOutOfStep } from './channels-out-of-step.ts';
import { clockDrift } from './clock-drift.ts';
import { coarseFadeSteps } from './coarse-fade-steps.ts';
import { commandLatency } from './command-latency.ts';
import { daliCurveOffset } from './dali-curve-offset.ts';
import { deadZone } from './dead-zone.ts';
import { directionHysteresis } from './direction-hysteresis.ts';
import { fadeCutShort } from './fade-cut-short.ts';
import { fadeDownSign } from './fade-down-sign.ts';
import { fadeOvershoot } from './fade-overshoot.ts';
import { fadeTableOffset } from './fade-table-offset.ts';
import type { Fault } from './fault.ts';
import { fineSlotIgnored } from './fine-slot-ignored.ts';
import { hardwareFaults } from './hardware-faults.ts';
import { lastCommandLoses } from './last-command-loses.ts';
import { lastLevelForgotten } from './last-level-forgotten.ts';
import { lateChannels } from './late-channels.ts';
import { lateLossAction } from './late-loss-action.ts';
import { latencyUnderLoad } from './latency-under-load.ts';
import { levelHunting } from './level-hunting.ts';
import { linearDimming } from './linear-dimming.ts';
import { longFramesTaken } from './long-frames-taken.ts';
import { lostFrames } from './lost-frames.ts';
import { lostOrders } from './lost-orders.ts';
import { minLevelIgnored } from './min-level-ignored.ts';
import { missedTicks } from './missed-ticks.ts';
import { noDither } from './no-dither.ts';
import { packetHeadIgnored } from './packet-head-ignored.ts';
import { previewAccepted } from './preview-accepted.ts';
import { priorityIgnored } from './priority-ignored.ts';
import { processorStarvation } from './processor-starvation.ts';
import { productOverflow } from './product-overflow.ts';
import { refusalDims } from './refusal-dims.ts';
import { resetInFade } from './reset-in-fade.ts';
import { retargetJump } from './retarget-jump.ts';
import { roundingDown } from './rounding-down.ts';
import { sendTwiceIgnored } from './send-twice-ignored.ts';
import { sendTwiceLate } from './send-twice-late.ts';
import { sequenceIgnored } from './sequence-ignored.ts';
import { terminatedIgnored } from './terminated-ignored.ts';
import { tickJitter } from './tick-jitter.ts';
import { truncatedIntensities } from './truncated-intensities.ts';
import { visibleDither } from './visible-dither.ts';
import { wrongClamp } from './wrong-clamp.ts';
import { wrongLossAction } from './wrong-loss-action.ts';
import { wrongStartCode } from './wrong-start-code.ts';

/** Every seeded fault, by family. */
export const faults: readonly Fault[] = [
  linearDimming,
  coarseFadeSteps,
  truncatedIntensities,
  roundingDown,
  productOverflow,
  fadeTableOffset,
  fadeDownSign,
  fadeCutShort,
  fadeOvershoot,
  retargetJump,
  daliCurveOffset,
  fineSlotIgnored,
  lateChannels,
  channelsOutOfStep,
  tickJitter,
  missedTicks,
  clockDrift,
  processorStarvation,
  bottomDropout,
  deadZone,
  noDither,
  visibleDither,
  levelHunting,
  directionHysteresis,
  lostOrders,
  lostFrames,
  wrongClamp,
  minLevelIgnored,
  sendTwiceIgnored,
  sendTwiceLate,
  wrongLossAction,
  lateLossAction,
  commandLatency,
  latencyUnderLoad,
  resetInFade,
  wrongStartCode,
  previewAccepted,
  priorityIgnored,
  sequenceIgnored,
  terminatedIgnored,
  refusalDims,
  longFramesTaken,
  breakNotAwaited,
  packetHeadIgnored,
  lastCommandLoses,
  lastLevelForgotten,
  ...hardwareFaults,
];

export function findFault(id: string): Fault | undefined {
  return faults.find((fault) => fault.id === id);
}
