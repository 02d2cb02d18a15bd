import { cameraBandContrast } from './camera/camera-band-contrast.ts';
import { cameraBandSweep } from './camera/camera-band-sweep.ts';
import { frameBandContrast } from './camera/frame-band-contrast.ts';
import { cct } from './colour/cct.ts';
import { channelRatioDrift } from './colour/channel-ratio-drift.ts';
import { chromaticityX } from './colour/chromaticity-x.ts';
import { chromaticityY } from './colour/chromaticity-y.ts';
import { duv } from './colour/duv.ts';
import { mixingError } from './colour/mixing-error.ts';
import { nominalCctBin } from './colour/nominal-cct-bin.ts';
import { pathDeviation } from './colour/path-deviation.ts';
import { sdcmSteps } from './colour/sdcm-steps.ts';
import { uvDistance } from './colour/uv-distance.ts';
import { uvShift } from './colour/uv-shift.ts';
import { commandLatency } from './control/command-latency.ts';
import { levelAfterLoss } from './control/level-after-loss.ts';
import { processorLoad } from './control/processor-load.ts';
import { recallLevel } from './control/recall-level.ts';
import { fallTime } from './current/fall-time.ts';
import { meanCurrent } from './current/mean-current.ts';
import { offTime } from './current/off-time.ts';
import { peakCurrent } from './current/peak-current.ts';
import { regulation } from './current/regulation.ts';
import { rippleCurrent } from './current/ripple-current.ts';
import { riseTime } from './current/rise-time.ts';
import { shortestPulse } from './current/shortest-pulse.ts';
import { switchingFrequency } from './current/switching-frequency.ts';
import { turnOnOvershoot } from './current/turn-on-overshoot.ts';
import { arrivalSpread } from './fade/arrival-spread.ts';
import { curveDeviation } from './fade/curve-deviation.ts';
import { ditherRate } from './fade/dither-rate.ts';
import { ditherVisibility } from './fade/dither-visibility.ts';
import { fadeDuration } from './fade/fade-duration.ts';
import { fadeOvershoot } from './fade/fade-overshoot.ts';
import { fadeStartDelay } from './fade/fade-start-delay.ts';
import { largestVisibleStep } from './fade/largest-visible-step.ts';
import { deadZone } from './level/dead-zone.ts';
import { dropouts } from './level/dropouts.ts';
import { hysteresis } from './level/hysteresis.ts';
import { levelDrift } from './level/level-drift.ts';
import { levelError } from './level/level-error.ts';
import { levelErrorLightness } from './level/level-error-lightness.ts';
import { levelNoise } from './level/level-noise.ts';
import { levelRatio } from './level/level-ratio.ts';
import { lowestStableLevel } from './level/lowest-stable-level.ts';
import { monotonicity } from './level/monotonicity.ts';
import { stepSize } from './level/step-size.ts';
import { bandLimitedModulation } from './light/band-limited-modulation.ts';
import { dominantFrequency } from './light/dominant-frequency.ts';
import { flickerIndex } from './light/flicker-index.ts';
import { ieee1789LowRisk } from './light/ieee1789-low-risk.ts';
import { ieee1789LowRiskComponents } from './light/ieee1789-low-risk-components.ts';
import { ieee1789NoEffect } from './light/ieee1789-no-effect.ts';
import { ieee1789NoEffectComponents } from './light/ieee1789-no-effect-components.ts';
import { modulation } from './light/modulation.ts';
import { shortTermLightModulation } from './light/short-term-light-modulation.ts';
import { stroboscopicVisibility } from './light/stroboscopic-visibility.ts';
import { displacementFactor } from './mains/displacement-factor.ts';
import { harmonicRatio } from './mains/harmonic-ratio.ts';
import { powerFactor } from './mains/power-factor.ts';
import { thdCurrent } from './mains/thd-current.ts';
import type { Metric } from './metric.ts';

/** Every metric there is, family by family. A new metric is one file and one line here. */
export const metrics: readonly Metric[] = [
  levelRatio,
  levelError,
  levelErrorLightness,
  lowestStableLevel,
  levelNoise,
  levelDrift,
  dropouts,
  monotonicity,
  deadZone,
  hysteresis,
  stepSize,

  fadeDuration,
  fadeStartDelay,
  arrivalSpread,
  fadeOvershoot,
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

  modulation,
  flickerIndex,
  dominantFrequency,
  ieee1789LowRisk,
  ieee1789NoEffect,
  ieee1789LowRiskComponents,
  ieee1789NoEffectComponents,
  stroboscopicVisibility,
  shortTermLightModulation,
  bandLimitedModulation,

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

  processorLoad,
  commandLatency,
  levelAfterLoss,
  recallLevel,
];

/** The metric that a spec means by `id`, if there is one. */
export function findMetric(id: string): Metric | undefined {
  return metrics.find((metric) => metric.id === id);
}
