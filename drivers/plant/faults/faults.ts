import { coarseFadeSteps } from './arithmetic/coarse-fade-steps.ts';
import { daliCurveOffset } from './arithmetic/dali-curve-offset.ts';
import { fadeCutShort } from './arithmetic/fade-cut-short.ts';
import { fadeDownSign } from './arithmetic/fade-down-sign.ts';
import { fadeOvershoot } from './arithmetic/fade-overshoot.ts';
import { fadeTableOffset } from './arithmetic/fade-table-offset.ts';
import { fadeUndershoot } from './arithmetic/fade-undershoot.ts';
import { fineSlotIgnored } from './arithmetic/fine-slot-ignored.ts';
import { linearDimming } from './arithmetic/linear-dimming.ts';
import { productOverflow } from './arithmetic/product-overflow.ts';
import { retargetJump } from './arithmetic/retarget-jump.ts';
import { roundingDown } from './arithmetic/rounding-down.ts';
import { slowSettling } from './arithmetic/slow-settling.ts';
import { truncatedIntensities } from './arithmetic/truncated-intensities.ts';
import { wrongTableEntry } from './arithmetic/wrong-table-entry.ts';
import { analogueDimming } from './colour/analogue-dimming.ts';
import { channelHunting } from './colour/channel-hunting.ts';
import { crosstalk } from './colour/crosstalk.ts';
import { kelvinForMirek } from './colour/kelvin-for-mirek.ts';
import { phosphorCrosstalk } from './colour/phosphor-crosstalk.ts';
import { swappedChannels } from './colour/swapped-channels.ts';
import { swappedPrimaries } from './colour/swapped-primaries.ts';
import { unevenDimming } from './colour/uneven-dimming.ts';
import { weakChannel } from './colour/weak-channel.ts';
import { wrongBin } from './colour/wrong-bin.ts';
import { driveNoise } from './current/drive-noise.ts';
import { excessCurrent } from './current/excess-current.ts';
import { longDeadTime } from './current/long-dead-time.ts';
import { lowCurrent } from './current/low-current.ts';
import { openLed } from './current/open-led.ts';
import { rippleCurrent } from './current/ripple-current.ts';
import { shortedLeds } from './current/shorted-leds.ts';
import { slowComparator } from './current/slow-comparator.ts';
import { slowEdges } from './current/slow-edges.ts';
import { turnOnOvershoot } from './current/turn-on-overshoot.ts';
import { unevenForwardVoltage } from './current/uneven-forward-voltage.ts';
import { wrongOffTime } from './current/wrong-off-time.ts';
import type { Fault } from './fault.ts';
import { addressForgotten } from './gear/address-forgotten.ts';
import { anyGroupObeyed } from './gear/any-group-obeyed.ts';
import { broadcastIgnored } from './gear/broadcast-ignored.ts';
import { busFailureEarly } from './gear/bus-failure-early.ts';
import { busFailureLate } from './gear/bus-failure-late.ts';
import { busReturnLights } from './gear/bus-return-lights.ts';
import { dapcSequenceIgnored } from './gear/dapc-sequence-ignored.ts';
import { dapcSequenceJumps } from './gear/dapc-sequence-jumps.ts';
import { dapcSequenceStays } from './gear/dapc-sequence-stays.ts';
import { darkBelowMinimum } from './gear/dark-below-minimum.ts';
import { darkCutShort } from './gear/dark-cut-short.ts';
import { darkPowerOnIgnored } from './gear/dark-power-on-ignored.ts';
import { darkScenesIgnored } from './gear/dark-scenes-ignored.ts';
import { darkStaysLit } from './gear/dark-stays-lit.ts';
import { emptyScenesDark } from './gear/empty-scenes-dark.ts';
import { extendedFadeFirst } from './gear/extended-fade-first.ts';
import { extendedFadeIgnored } from './gear/extended-fade-ignored.ts';
import { extendedFadeOffByOne } from './gear/extended-fade-off-by-one.ts';
import { fadeFromDarkJumps } from './gear/fade-from-dark-jumps.ts';
import { fadeNotTold } from './gear/fade-not-told.ts';
import { fadeOutToldDark } from './gear/fade-out-told-dark.ts';
import { fadeSettingsForgotten } from './gear/fade-settings-forgotten.ts';
import { fadeTimeMovesFades } from './gear/fade-time-moves-fades.ts';
import { fadeToldTooLong } from './gear/fade-told-too-long.ts';
import { failureLevelIgnored } from './gear/failure-level-ignored.ts';
import { failureMaskFull } from './gear/failure-mask-full.ts';
import { foreignAddressObeyed } from './gear/foreign-address-obeyed.ts';
import { groupsForgotten } from './gear/groups-forgotten.ts';
import { groupsIgnored } from './gear/groups-ignored.ts';
import { highGroupsLost } from './gear/high-groups-lost.ts';
import { lastActiveFull } from './gear/last-active-full.ts';
import { lastLevelBeforePowerOn } from './gear/last-level-before-power-on.ts';
import { limitErrorStays } from './gear/limit-error-stays.ts';
import { limitsForgotten } from './gear/limits-forgotten.ts';
import { limitsInAnswersOnly } from './gear/limits-in-answers-only.ts';
import { limitsMissLitLamp } from './gear/limits-miss-lit-lamp.ts';
import { maskIsFull } from './gear/mask-is-full.ts';
import { maskLetsFadesRun } from './gear/mask-lets-fades-run.ts';
import { offAtOnce } from './gear/off-at-once.ts';
import { onAndStepUpFull } from './gear/on-and-step-up-full.ts';
import { powerCycleNotTold } from './gear/power-cycle-not-told.ts';
import { powerCycleToldOn } from './gear/power-cycle-told-on.ts';
import { powerLevelsForgotten } from './gear/power-levels-forgotten.ts';
import { powerOnLevelIgnored } from './gear/power-on-level-ignored.ts';
import { powerOnLevelLate } from './gear/power-on-level-late.ts';
import { powerOnMaskFull } from './gear/power-on-mask-full.ts';
import { recallsFade } from './gear/recalls-fade.ts';
import { resetStateTold } from './gear/reset-state-told.ts';
import { runTooLong } from './gear/run-too-long.ts';
import { sameLevelIgnored } from './gear/same-level-ignored.ts';
import { sceneNumberCut } from './gear/scene-number-cut.ts';
import { scenesForgotten } from './gear/scenes-forgotten.ts';
import { scenesJump } from './gear/scenes-jump.ts';
import { secondAfterOthers } from './gear/second-after-others.ts';
import { staleLevelTold } from './gear/stale-level-told.ts';
import { stepDownGoesOff } from './gear/step-down-goes-off.ts';
import { stepDownNeverOff } from './gear/step-down-never-off.ts';
import { stepUpLightsDark } from './gear/step-up-lights-dark.ts';
import { storedLevelFull } from './gear/stored-level-full.ts';
import { targetTold } from './gear/target-told.ts';
import { unaddressedObeyed } from './gear/unaddressed-obeyed.ts';
import { upLightsDark } from './gear/up-lights-dark.ts';
import { addressIncrementIgnored } from './links/address-increment-ignored.ts';
import { addressTypeIgnored } from './links/address-type-ignored.ts';
import { anySyncCounts } from './links/any-sync-counts.ts';
import { breakNotAwaited } from './links/break-not-awaited.ts';
import { breakTooStrict } from './links/break-too-strict.ts';
import { coarseSlotAloneIgnored } from './links/coarse-slot-alone-ignored.ts';
import { commandLatency } from './links/command-latency.ts';
import { consoleBaudOff } from './links/console-baud-off.ts';
import { consoleRangeWraps } from './links/console-range-wraps.ts';
import { darkAfterReturn } from './links/dark-after-return.ts';
import { discoveryTaken } from './links/discovery-taken.ts';
import { dmxBaudOff } from './links/dmx-baud-off.ts';
import { endOfOneEndsAll } from './links/end-of-one-ends-all.ts';
import { energyOvercounted } from './links/energy-overcounted.ts';
import { fineSlotAloneIgnored } from './links/fine-slot-alone-ignored.ts';
import { fineSlotLate } from './links/fine-slot-late.ts';
import { fineSlotSigned } from './links/fine-slot-signed.ts';
import { firstAddressIgnored } from './links/first-address-ignored.ts';
import { firstFrameFlash } from './links/first-frame-flash.ts';
import { firstPriorityHolds } from './links/first-priority-holds.ts';
import { footprintMisstated } from './links/footprint-misstated.ts';
import { framesSkipped } from './links/frames-skipped.ts';
import { framingVectorIgnored } from './links/framing-vector-ignored.ts';
import { identifierIgnored } from './links/identifier-ignored.ts';
import { lastCommandLoses } from './links/last-command-loses.ts';
import { lastLevelForgotten } from './links/last-level-forgotten.ts';
import { lastLevelsTaken } from './links/last-levels-taken.ts';
import { lateLossAction } from './links/late-loss-action.ts';
import { lateWindowTooWide } from './links/late-window-too-wide.ts';
import { latencyUnderLoad } from './links/latency-under-load.ts';
import { lightHoursInStandby } from './links/light-hours-in-standby.ts';
import { litAfterLoss } from './links/lit-after-loss.ts';
import { locksOnFirstLink } from './links/locks-on-first-link.ts';
import { longBreakRefused } from './links/long-break-refused.ts';
import { longFramesShifted } from './links/long-frames-shifted.ts';
import { longFramesTaken } from './links/long-frames-taken.ts';
import { longMarkRefused } from './links/long-mark-refused.ts';
import { lostFrames } from './links/lost-frames.ts';
import { lostOrders } from './links/lost-orders.ts';
import { lostSyncFreezes } from './links/lost-sync-freezes.ts';
import { lowestPriorityWins } from './links/lowest-priority-wins.ts';
import { luminaireDataSwapped } from './links/luminaire-data-swapped.ts';
import { markTooStrict } from './links/mark-too-strict.ts';
import { memoryCellsStick } from './links/memory-cells-stick.ts';
import { memorySlow } from './links/memory-slow.ts';
import { memoryWorn } from './links/memory-worn.ts';
import { minLevelIgnored } from './links/min-level-ignored.ts';
import { minimumLevelTruncated } from './links/minimum-level-truncated.ts';
import { mixForgotten } from './links/mix-forgotten.ts';
import { networkStartCodesTaken } from './links/network-start-codes-taken.ts';
import { packetHeadIgnored } from './links/packet-head-ignored.ts';
import { powerNotMetered } from './links/power-not-metered.ts';
import { preambleIgnored } from './links/preamble-ignored.ts';
import { previewAccepted } from './links/preview-accepted.ts';
import { priorityIgnored } from './links/priority-ignored.ts';
import { propertyVectorIgnored } from './links/property-vector-ignored.ts';
import { ratedLifeInHundreds } from './links/rated-life-in-hundreds.ts';
import { refusalDims } from './links/refusal-dims.ts';
import { reservedOptionsRefused } from './links/reserved-options-refused.ts';
import { resetInFade } from './links/reset-in-fade.ts';
import { rootVectorIgnored } from './links/root-vector-ignored.ts';
import { sendTwiceIgnored } from './links/send-twice-ignored.ts';
import { sendTwiceLate } from './links/send-twice-late.ts';
import { sequenceIgnored } from './links/sequence-ignored.ts';
import { sequenceKeptAfterEnd } from './links/sequence-kept-after-end.ts';
import { sequenceNeverWraps } from './links/sequence-never-wraps.ts';
import { shortFramesClear } from './links/short-frames-clear.ts';
import { slotCounterWraps } from './links/slot-counter-wraps.ts';
import { slotOneIsDark } from './links/slot-one-is-dark.ts';
import { slotTopWraps } from './links/slot-top-wraps.ts';
import { slotZeroGlows } from './links/slot-zero-glows.ts';
import { slotsOutOfStep } from './links/slots-out-of-step.ts';
import { slotsSwapped } from './links/slots-swapped.ts';
import { slowFramesLost } from './links/slow-frames-lost.ts';
import { sourceLostEarly } from './links/source-lost-early.ts';
import { sourceNeverLost } from './links/source-never-lost.ts';
import { sourcesCountedTogether } from './links/sources-counted-together.ts';
import { staleColourAnswer } from './links/stale-colour-answer.ts';
import { startAddressNotMoved } from './links/start-address-not-moved.ts';
import { startAddressUnbounded } from './links/start-address-unbounded.ts';
import { syncNotAwaited } from './links/sync-not-awaited.ts';
import { terminatedIgnored } from './links/terminated-ignored.ts';
import { universeIgnored } from './links/universe-ignored.ts';
import { wrongClamp } from './links/wrong-clamp.ts';
import { wrongLossAction } from './links/wrong-loss-action.ts';
import { wrongStartCode } from './links/wrong-start-code.ts';
import { bottomDropout } from './low-end/bottom-dropout.ts';
import { currentLoopHunts } from './low-end/current-loop-hunts.ts';
import { deadZone } from './low-end/dead-zone.ts';
import { directionHysteresis } from './low-end/direction-hysteresis.ts';
import { leakage } from './low-end/leakage.ts';
import { leakyChannel } from './low-end/leaky-channel.ts';
import { levelHunting } from './low-end/level-hunting.ts';
import { noDither } from './low-end/no-dither.ts';
import { shortPulsesLost } from './low-end/short-pulses-lost.ts';
import { visibleDither } from './low-end/visible-dither.ts';
import { idleTone } from './modulation/idle-tone.ts';
import { mediumPwm } from './modulation/medium-pwm.ts';
import { phaseAligned } from './modulation/phase-aligned.ts';
import { slowPwm } from './modulation/slow-pwm.ts';
import { stuckBit } from './modulation/stuck-bit.ts';
import { afterglow } from './supply/afterglow.ts';
import { brownOut } from './supply/brown-out.ts';
import { converterBeat } from './supply/converter-beat.ts';
import { dryCapacitor } from './supply/dry-capacitor.ts';
import { harmonicCurrent } from './supply/harmonic-current.ts';
import { highForwardVoltage } from './supply/high-forward-voltage.ts';
import { mainsBreakthrough } from './supply/mains-breakthrough.ts';
import { noInrushLimit } from './supply/no-inrush-limit.ts';
import { poorPowerFactor } from './supply/poor-power-factor.ts';
import { poorRegulation } from './supply/poor-regulation.ts';
import { powerOffFlash } from './supply/power-off-flash.ts';
import { powerOnDropout } from './supply/power-on-dropout.ts';
import { powerOnFlash } from './supply/power-on-flash.ts';
import { powerOnOvershoot } from './supply/power-on-overshoot.ts';
import { rippleRejectionLost } from './supply/ripple-rejection-lost.ts';
import { standbyDraw } from './supply/standby-draw.ts';
import { supplySag } from './supply/supply-sag.ts';
import { supplyStepBlinks } from './supply/supply-step-blinks.ts';
import { coldDropout } from './thermal/cold-dropout.ts';
import { deratingChatters } from './thermal/derating-chatters.ts';
import { deratingInSteps } from './thermal/derating-in-steps.ts';
import { deratingLatches } from './thermal/derating-latches.ts';
import { earlyDerating } from './thermal/early-derating.ts';
import { hotBoard } from './thermal/hot-board.ts';
import { sensorOpen } from './thermal/sensor-open.ts';
import { sensorShorted } from './thermal/sensor-shorted.ts';
import { thermalColourDrift } from './thermal/thermal-colour-drift.ts';
import { blackouts } from './timing/blackouts.ts';
import { channelsOutOfStep } from './timing/channels-out-of-step.ts';
import { channelsPartMidway } from './timing/channels-part-midway.ts';
import { clockDrift } from './timing/clock-drift.ts';
import { flashes } from './timing/flashes.ts';
import { flickerBursts } from './timing/flicker-bursts.ts';
import { lateChannels } from './timing/late-channels.ts';
import { missedTicks } from './timing/missed-ticks.ts';
import { oscillatorOff } from './timing/oscillator-off.ts';
import { processorStarvation } from './timing/processor-starvation.ts';
import { slowAfterWrap } from './timing/slow-after-wrap.ts';
import { slowBoot } from './timing/slow-boot.ts';
import { tickJitter } from './timing/tick-jitter.ts';
import { watchdogInFade } from './timing/watchdog-in-fade.ts';

/** Every seeded fault, by family; each family is a folder. */
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
  fadeUndershoot,
  slowSettling,
  retargetJump,
  daliCurveOffset,
  fineSlotIgnored,
  wrongTableEntry,

  lateChannels,
  channelsOutOfStep,
  channelsPartMidway,
  tickJitter,
  missedTicks,
  clockDrift,
  oscillatorOff,
  slowBoot,
  watchdogInFade,
  processorStarvation,
  slowAfterWrap,
  blackouts,
  flashes,
  flickerBursts,

  slowPwm,
  mediumPwm,
  phaseAligned,
  stuckBit,
  idleTone,

  bottomDropout,
  deadZone,
  noDither,
  visibleDither,
  levelHunting,
  directionHysteresis,
  shortPulsesLost,
  currentLoopHunts,
  leakage,
  leakyChannel,

  weakChannel,
  wrongBin,
  swappedChannels,
  phosphorCrosstalk,
  swappedPrimaries,
  kelvinForMirek,
  analogueDimming,
  crosstalk,
  channelHunting,
  unevenDimming,

  slowEdges,
  turnOnOvershoot,
  lowCurrent,
  openLed,
  shortedLeds,
  longDeadTime,
  unevenForwardVoltage,
  rippleCurrent,
  wrongOffTime,
  slowComparator,
  excessCurrent,
  driveNoise,

  lostOrders,
  lostFrames,
  wrongClamp,
  minLevelIgnored,
  sendTwiceIgnored,
  sendTwiceLate,
  wrongLossAction,
  lateLossAction,
  litAfterLoss,
  commandLatency,
  latencyUnderLoad,
  resetInFade,
  wrongStartCode,
  previewAccepted,
  priorityIgnored,
  sequenceIgnored,
  terminatedIgnored,
  syncNotAwaited,
  anySyncCounts,
  lostSyncFreezes,
  discoveryTaken,
  refusalDims,
  longFramesTaken,
  longFramesShifted,
  staleColourAnswer,
  luminaireDataSwapped,
  ratedLifeInHundreds,
  energyOvercounted,
  powerNotMetered,
  lightHoursInStandby,
  breakNotAwaited,
  footprintMisstated,
  startAddressNotMoved,
  startAddressUnbounded,
  minimumLevelTruncated,
  packetHeadIgnored,
  lastCommandLoses,
  universeIgnored,
  preambleIgnored,
  identifierIgnored,
  rootVectorIgnored,
  framingVectorIgnored,
  propertyVectorIgnored,
  addressTypeIgnored,
  firstAddressIgnored,
  addressIncrementIgnored,
  sourceNeverLost,
  sourceLostEarly,
  sequenceNeverWraps,
  lateWindowTooWide,
  sourcesCountedTogether,
  sequenceKeptAfterEnd,
  lowestPriorityWins,
  firstPriorityHolds,
  endOfOneEndsAll,
  lastLevelsTaken,
  networkStartCodesTaken,
  reservedOptionsRefused,
  breakTooStrict,
  markTooStrict,
  longBreakRefused,
  longMarkRefused,
  framesSkipped,
  slowFramesLost,
  darkAfterReturn,
  shortFramesClear,
  slotCounterWraps,
  fineSlotLate,
  fineSlotAloneIgnored,
  coarseSlotAloneIgnored,
  fineSlotSigned,
  slotsSwapped,
  firstFrameFlash,
  consoleRangeWraps,
  slotZeroGlows,
  slotsOutOfStep,
  locksOnFirstLink,
  slotOneIsDark,
  slotTopWraps,
  lastLevelForgotten,
  mixForgotten,
  memoryWorn,
  consoleBaudOff,
  dmxBaudOff,
  memorySlow,
  memoryCellsStick,

  storedLevelFull,
  secondAfterOthers,
  dapcSequenceStays,
  dapcSequenceJumps,
  dapcSequenceIgnored,
  addressForgotten,
  powerLevelsForgotten,
  fadeSettingsForgotten,
  limitsForgotten,
  groupsForgotten,
  scenesForgotten,
  staleLevelTold,
  sameLevelIgnored,
  busReturnLights,
  failureMaskFull,
  failureLevelIgnored,
  busFailureLate,
  busFailureEarly,
  resetStateTold,
  powerCycleToldOn,
  powerCycleNotTold,
  powerOnMaskFull,
  lastLevelBeforePowerOn,
  powerOnLevelLate,
  darkPowerOnIgnored,
  powerOnLevelIgnored,

  limitErrorStays,
  limitsInAnswersOnly,
  limitsMissLitLamp,
  fadeOutToldDark,
  fadeToldTooLong,
  fadeNotTold,
  targetTold,
  fadeTimeMovesFades,
  lastActiveFull,
  recallsFade,
  onAndStepUpFull,
  stepDownNeverOff,
  stepDownGoesOff,
  stepUpLightsDark,
  upLightsDark,
  runTooLong,
  extendedFadeFirst,
  extendedFadeOffByOne,
  extendedFadeIgnored,
  fadeFromDarkJumps,
  darkBelowMinimum,
  darkStaysLit,
  darkCutShort,
  offAtOnce,
  sceneNumberCut,
  emptyScenesDark,
  darkScenesIgnored,
  scenesJump,
  maskLetsFadesRun,
  maskIsFull,
  broadcastIgnored,
  unaddressedObeyed,
  foreignAddressObeyed,
  highGroupsLost,
  anyGroupObeyed,
  groupsIgnored,

  hotBoard,
  thermalColourDrift,
  coldDropout,
  deratingChatters,
  deratingInSteps,
  deratingLatches,
  earlyDerating,
  sensorOpen,
  sensorShorted,

  converterBeat,
  mainsBreakthrough,
  rippleRejectionLost,
  dryCapacitor,
  poorRegulation,
  supplySag,
  brownOut,
  powerOnFlash,
  powerOffFlash,
  powerOnOvershoot,
  powerOnDropout,
  afterglow,
  highForwardVoltage,
  poorPowerFactor,
  harmonicCurrent,
  noInrushLimit,
  supplyStepBlinks,
  standbyDraw,
];

export function findFault(id: string): Fault | undefined {
  return faults.find((fault) => fault.id === id);
}
