/**
 * `evenfall/measure`: the metrics, without files, clocks or a lamp. It runs where JavaScript does: in Node, a worker or a browser.
 * All figures are SI; a ratio is a ratio and no percentage.
 * Every metric has a name of its own here, so that a bundler takes those alone that a page uses; `metrics` and `findMetric` bring
 * them all.
 */
export type { Axis, Chart, Evidence, Line } from '../measure/evidence.ts';
export type { ComputeOptions, Metric, Need, Parameter } from '../measure/metric.ts';
export { cameraBandContrast } from '../measure/metrics/camera/camera-band-contrast.ts';
export { cameraBandSweep } from '../measure/metrics/camera/camera-band-sweep.ts';
export { frameBandContrast } from '../measure/metrics/camera/frame-band-contrast.ts';
export { cct, duv } from '../measure/metrics/colour/cct-and-duv.ts';
export { channelCrosstalk } from '../measure/metrics/colour/channel-crosstalk.ts';
export { channelRatioDrift } from '../measure/metrics/colour/channel-ratio-drift.ts';
export { chromaticityX, chromaticityY } from '../measure/metrics/colour/chromaticity.ts';
export { chromaticityExcursion } from '../measure/metrics/colour/chromaticity-excursion.ts';
export { sdcmSteps, uvDistance } from '../measure/metrics/colour/distance-to-target.ts';
export { mixingError } from '../measure/metrics/colour/mixing-error.ts';
export { nominalCctBin } from '../measure/metrics/colour/nominal-cct-bin.ts';
export { pathDeviation } from '../measure/metrics/colour/path-deviation.ts';
export { cctTracking, duvTracking } from '../measure/metrics/colour/tracking.ts';
export { uvShift } from '../measure/metrics/colour/uv-shift.ts';
export { commandLatency } from '../measure/metrics/control/command-latency.ts';
export { levelAfterLoss, recallLevel } from '../measure/metrics/control/kept-level.ts';
export { memoryWrites } from '../measure/metrics/control/memory-writes.ts';
export { modelExcursion } from '../measure/metrics/control/model-excursion.ts';
export {
  probeHighest,
  probeLowest,
  probeMean,
} from '../measure/metrics/control/probe-value.ts';
export { processorLoad } from '../measure/metrics/control/processor-load.ts';
export { reportedEnergyError } from '../measure/metrics/control/reported-energy-error.ts';
export { reportedPowerError } from '../measure/metrics/control/reported-power-error.ts';
export { timeOutsideModel } from '../measure/metrics/control/time-outside-model.ts';
export { wrongAnswers } from '../measure/metrics/control/wrong-answers.ts';
export { fallTime, riseTime } from '../measure/metrics/current/edge-time.ts';
export { meanCurrent } from '../measure/metrics/current/mean-current.ts';
export { peakCurrent } from '../measure/metrics/current/peak-current.ts';
export { regulation } from '../measure/metrics/current/regulation.ts';
export { shortestPulse } from '../measure/metrics/current/shortest-pulse.ts';
export {
  offTime,
  rippleCurrent,
  switchingFrequency,
} from '../measure/metrics/current/switching.ts';
export { turnOnOvershoot } from '../measure/metrics/current/turn-on-overshoot.ts';
export { arrivalSpread, startSpread } from '../measure/metrics/fade/channel-spread.ts';
export { curveDeviation } from '../measure/metrics/fade/curve-deviation.ts';
export { ditherRate, ditherVisibility } from '../measure/metrics/fade/dither.ts';
export { fadeDuration } from '../measure/metrics/fade/fade-duration.ts';
export { fadeOvershoot } from '../measure/metrics/fade/fade-overshoot.ts';
export { fadeStartDelay } from '../measure/metrics/fade/fade-start-delay.ts';
export { fadeSynchrony } from '../measure/metrics/fade/fade-synchrony.ts';
export { fadeUndershoot } from '../measure/metrics/fade/fade-undershoot.ts';
export { largestVisibleStep } from '../measure/metrics/fade/largest-visible-step.ts';
export { settlingTime } from '../measure/metrics/fade/settling-time.ts';
export { bandLimitedModulation } from '../measure/metrics/flicker/band-limited-modulation.ts';
export { dominantFrequency } from '../measure/metrics/flicker/dominant-frequency.ts';
export { flickerIndex } from '../measure/metrics/flicker/flicker-index.ts';
export {
  ieee1789LowRiskComponents,
  ieee1789NoEffectComponents,
} from '../measure/metrics/flicker/ieee1789-components.ts';
export {
  ieee1789LowRisk,
  ieee1789NoEffect,
} from '../measure/metrics/flicker/ieee1789-fundamental.ts';
export { instantaneousSensation } from '../measure/metrics/flicker/instantaneous-sensation.ts';
export { ja10Modulation } from '../measure/metrics/flicker/ja10-modulation.ts';
export { modulation } from '../measure/metrics/flicker/modulation.ts';
export { phantomArray } from '../measure/metrics/flicker/phantom-array.ts';
export {
  shortTermLightModulation,
  tenMinuteLightModulation,
} from '../measure/metrics/flicker/short-term-light-modulation.ts';
export { stroboscopicVisibility } from '../measure/metrics/flicker/stroboscopic-visibility.ts';
export { strongestComponent } from '../measure/metrics/flicker/strongest-component.ts';
export { afterglowTime } from '../measure/metrics/level/afterglow-time.ts';
export { deadZone } from '../measure/metrics/level/dead-zone.ts';
export { dropouts } from '../measure/metrics/level/dropouts.ts';
export { dynamicRange } from '../measure/metrics/level/dynamic-range.ts';
export { blackouts, flashes } from '../measure/metrics/level/event-count.ts';
export { longestBlackout, longestFlash } from '../measure/metrics/level/event-length.ts';
export { deepestDip, highestFlash } from '../measure/metrics/level/event-size.ts';
export { highestLevel, lowestLevel } from '../measure/metrics/level/extreme-level.ts';
export { hysteresis } from '../measure/metrics/level/hysteresis.ts';
export { levelDrift } from '../measure/metrics/level/level-drift.ts';
export { levelError, levelErrorLightness } from '../measure/metrics/level/level-error.ts';
export { levelNoise } from '../measure/metrics/level/level-noise.ts';
export { levelRatio } from '../measure/metrics/level/level-ratio.ts';
export { lowestStableLevel } from '../measure/metrics/level/lowest-stable-level.ts';
export { monotonicity } from '../measure/metrics/level/monotonicity.ts';
export { stepSize } from '../measure/metrics/level/step-size.ts';
export {
  sweepDeviationLightness,
  sweepDeviationLog,
} from '../measure/metrics/level/sweep-deviation.ts';
export { displacementFactor } from '../measure/metrics/mains/displacement-factor.ts';
export { harmonicRatio } from '../measure/metrics/mains/harmonic-ratio.ts';
export { inputPower } from '../measure/metrics/mains/input-power.ts';
export { inrushCurrent } from '../measure/metrics/mains/inrush-current.ts';
export { powerFactor } from '../measure/metrics/mains/power-factor.ts';
export { thdCurrent } from '../measure/metrics/mains/thd-current.ts';
export { findMetric, metrics } from '../measure/metrics.ts';
export type {
  CameraFrame,
  ColourReading,
  Commanded,
  CommandedChannel,
  DimmingCurve,
  Frame,
  Observation,
  Segment,
  SelfReport,
  SensorReading,
  SignalRecord,
  Window,
} from '../measure/observation.ts';
export type { Contribution, Measured, NotMeasurable, Outcome, Reason } from '../measure/outcome.ts';
export type { Signal } from '../measure/signals.ts';
export type { Sampling, Waveform } from '../measure/waveform.ts';
export type { Dimension, UnitSymbol } from '../units/unit.ts';
export { measureWaveform, type WaveformToMeasure } from './measure-waveform.ts';
