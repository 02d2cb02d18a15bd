import type { Metric } from './metric.ts';
import { cameraBandContrast } from './metrics/camera/camera-band-contrast.ts';
import { cameraBandSweep } from './metrics/camera/camera-band-sweep.ts';
import { frameBandContrast } from './metrics/camera/frame-band-contrast.ts';
import { cct, duv } from './metrics/colour/cct-and-duv.ts';
import { channelCrosstalk } from './metrics/colour/channel-crosstalk.ts';
import { channelRatioDrift } from './metrics/colour/channel-ratio-drift.ts';
import { chromaticityX, chromaticityY } from './metrics/colour/chromaticity.ts';
import { chromaticityExcursion } from './metrics/colour/chromaticity-excursion.ts';
import { sdcmSteps, uvDistance } from './metrics/colour/distance-to-target.ts';
import { mixingError } from './metrics/colour/mixing-error.ts';
import { nominalCctBin } from './metrics/colour/nominal-cct-bin.ts';
import { pathDeviation } from './metrics/colour/path-deviation.ts';
import { cctTracking, duvTracking } from './metrics/colour/tracking.ts';
import { uvShift } from './metrics/colour/uv-shift.ts';
import { commandLatency } from './metrics/control/command-latency.ts';
import { levelAfterLoss, recallLevel } from './metrics/control/kept-level.ts';
import { memoryWrites } from './metrics/control/memory-writes.ts';
import { modelExcursion } from './metrics/control/model-excursion.ts';
import { probeHighest, probeLowest, probeMean } from './metrics/control/probe-value.ts';
import { processorLoad } from './metrics/control/processor-load.ts';
import { reportedEnergyError } from './metrics/control/reported-energy-error.ts';
import { reportedPowerError } from './metrics/control/reported-power-error.ts';
import { timeOutsideModel } from './metrics/control/time-outside-model.ts';
import { wrongAnswers } from './metrics/control/wrong-answers.ts';
import { fallTime, riseTime } from './metrics/current/edge-time.ts';
import { meanCurrent } from './metrics/current/mean-current.ts';
import { peakCurrent } from './metrics/current/peak-current.ts';
import { regulation } from './metrics/current/regulation.ts';
import { shortestPulse } from './metrics/current/shortest-pulse.ts';
import { offTime, rippleCurrent, switchingFrequency } from './metrics/current/switching.ts';
import { turnOnOvershoot } from './metrics/current/turn-on-overshoot.ts';
import { arrivalSpread, startSpread } from './metrics/fade/channel-spread.ts';
import { curveDeviation } from './metrics/fade/curve-deviation.ts';
import { ditherRate, ditherVisibility } from './metrics/fade/dither.ts';
import { fadeDuration } from './metrics/fade/fade-duration.ts';
import { fadeOvershoot } from './metrics/fade/fade-overshoot.ts';
import { fadeStartDelay } from './metrics/fade/fade-start-delay.ts';
import { fadeSynchrony } from './metrics/fade/fade-synchrony.ts';
import { fadeUndershoot } from './metrics/fade/fade-undershoot.ts';
import { largestVisibleStep } from './metrics/fade/largest-visible-step.ts';
import { settlingTime } from './metrics/fade/settling-time.ts';
import { bandLimitedModulation } from './metrics/flicker/band-limited-modulation.ts';
import { dominantFrequency } from './metrics/flicker/dominant-frequency.ts';
import { flickerIndex } from './metrics/flicker/flicker-index.ts';
import {
  ieee1789LowRiskComponents,
  ieee1789NoEffectComponents,
} from './metrics/flicker/ieee1789-components.ts';
import { ieee1789LowRisk, ieee1789NoEffect } from './metrics/flicker/ieee1789-fundamental.ts';
import { instantaneousSensation } from './metrics/flicker/instantaneous-sensation.ts';
import { ja10Modulation } from './metrics/flicker/ja10-modulation.ts';
import { modulation } from './metrics/flicker/modulation.ts';
import { phantomArray } from './metrics/flicker/phantom-array.ts';
import {
  shortTermLightModulation,
  tenMinuteLightModulation,
} from './metrics/flicker/short-term-light-modulation.ts';
import { stroboscopicVisibility } from './metrics/flicker/stroboscopic-visibility.ts';
import { strongestComponent } from './metrics/flicker/strongest-component.ts';
import { afterglowTime } from './metrics/level/afterglow-time.ts';
import { deadZone } from './metrics/level/dead-zone.ts';
import { dropouts } from './metrics/level/dropouts.ts';
import { dynamicRange } from './metrics/level/dynamic-range.ts';
import { blackouts, flashes } from './metrics/level/event-count.ts';
import { longestBlackout, longestFlash } from './metrics/level/event-length.ts';
import { deepestDip, highestFlash } from './metrics/level/event-size.ts';
import { highestLevel, lowestLevel } from './metrics/level/extreme-level.ts';
import { hysteresis } from './metrics/level/hysteresis.ts';
import { levelDrift } from './metrics/level/level-drift.ts';
import { levelError, levelErrorLightness } from './metrics/level/level-error.ts';
import { levelNoise } from './metrics/level/level-noise.ts';
import { levelRatio } from './metrics/level/level-ratio.ts';
import { lowestStableLevel } from './metrics/level/lowest-stable-level.ts';
import { monotonicity } from './metrics/level/monotonicity.ts';
import { stepSize } from './metrics/level/step-size.ts';
import { sweepDeviationLightness, sweepDeviationLog } from './metrics/level/sweep-deviation.ts';
import { displacementFactor } from './metrics/mains/displacement-factor.ts';
import { harmonicRatio } from './metrics/mains/harmonic-ratio.ts';
import { inputPower } from './metrics/mains/input-power.ts';
import { inrushCurrent } from './metrics/mains/inrush-current.ts';
import { powerFactor } from './metrics/mains/power-factor.ts';
import { thdCurrent } from './metrics/mains/thd-current.ts';

/** Every metric there is, family by family. A new metric is one file and one line here. */
export const metrics: readonly Metric[] = [
  levelRatio,
  levelError,
  levelErrorLightness,
  lowestStableLevel,
  levelNoise,
  levelDrift,
  dropouts,
  blackouts,
  longestBlackout,
  deepestDip,
  flashes,
  longestFlash,
  highestFlash,
  highestLevel,
  lowestLevel,
  afterglowTime,
  monotonicity,
  deadZone,
  hysteresis,
  stepSize,
  sweepDeviationLog,
  sweepDeviationLightness,
  dynamicRange,

  fadeDuration,
  fadeStartDelay,
  startSpread,
  arrivalSpread,
  fadeSynchrony,
  fadeOvershoot,
  fadeUndershoot,
  settlingTime,
  curveDeviation,
  largestVisibleStep,
  ditherRate,
  ditherVisibility,

  uvShift,
  chromaticityX,
  chromaticityY,
  uvDistance,
  sdcmSteps,
  cct,
  duv,
  nominalCctBin,
  pathDeviation,
  mixingError,
  channelRatioDrift,
  cctTracking,
  duvTracking,
  chromaticityExcursion,
  channelCrosstalk,

  modulation,
  flickerIndex,
  dominantFrequency,
  ieee1789LowRisk,
  ieee1789NoEffect,
  ieee1789LowRiskComponents,
  ieee1789NoEffectComponents,
  stroboscopicVisibility,
  shortTermLightModulation,
  tenMinuteLightModulation,
  instantaneousSensation,
  phantomArray,
  bandLimitedModulation,
  ja10Modulation,
  strongestComponent,

  cameraBandContrast,
  cameraBandSweep,
  frameBandContrast,

  peakCurrent,
  meanCurrent,
  rippleCurrent,
  switchingFrequency,
  offTime,
  riseTime,
  fallTime,
  shortestPulse,
  turnOnOvershoot,
  regulation,

  powerFactor,
  displacementFactor,
  thdCurrent,
  harmonicRatio,
  inputPower,
  inrushCurrent,

  probeHighest,
  probeLowest,
  probeMean,
  processorLoad,
  memoryWrites,
  reportedPowerError,
  reportedEnergyError,
  commandLatency,
  levelAfterLoss,
  recallLevel,
  timeOutsideModel,
  modelExcursion,
  wrongAnswers,
];

/** The metric that a spec means by `id`, if there is one. */
export function findMetric(id: string): Metric | undefined {
  return metrics.find((metric) => metric.id === id);
}
