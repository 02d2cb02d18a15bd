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
import { arrivalSpread } from './fade/arrival-spread.ts';
import { curveDeviation } from './fade/curve-deviation.ts';
import { fadeDuration } from './fade/fade-duration.ts';
import { fadeOvershoot } from './fade/fade-overshoot.ts';
import { fadeStartDelay } from './fade/fade-start-delay.ts';
import { levelError } from './level/level-error.ts';
import { levelRatio } from './level/level-ratio.ts';
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
import type { Metric } from './metric.ts';

/** Every metric there is, family by family. A new metric is one file and one line here. */
export const metrics: readonly Metric[] = [
  levelRatio,
  levelError,

  fadeDuration,
  fadeStartDelay,
  arrivalSpread,
  fadeOvershoot,
  curveDeviation,

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
];

/** The metric that a spec means by `id`, if there is one. */
export function findMetric(id: string): Metric | undefined {
  return metrics.find((metric) => metric.id === id);
}
