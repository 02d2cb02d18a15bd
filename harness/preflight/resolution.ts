import { signals } from '../measure/signals.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import type { Dimension } from '../units/unit.ts';
import type { Doubt } from './doubt.ts';
import type { PlannedJudgement } from './planned-judgement.ts';

/**
 * The smallest thing to be told apart has to fit this many times into the value, or a metric sees the converter
 * and not the lamp: ten for a shape at all, forty for a shape to be relied on. Our own choice, no source.
 */
const steps = { refuse: 10, warn: 40 } as const;

/** Averages that level, fade, colour and current metrics form before they decide, s; a flicker metric forms none. */
const averaging = 10e-3;

/** Whether converter and noise floor see the darkest level that the criterion is about. */
export function checkResolution(planned: PlannedJudgement): Doubt[] {
  const { metric, criterion, capture, rate, lowest, lamp } = planned;
  if (lowest === null || rate === null) return [];
  const { wire } = capture;
  const { perChannel, usualSubject } = signals[capture.signal];
  if (!perChannel) return [];
  const current = usualSubject === 'each-channel';
  const nominal = current
    ? Math.min(...lamp.channels.map(({ maxCurrent }) => maxCurrent))
    : wire.fullScale;
  const value = lowest * Math.min(nominal, wire.fullScale);
  // Codes run over both signs.
  const step = wire.fullScale / 2 ** (wire.bits - 1);
  const samples = averages(metric.family) ? Math.max(1, rate * averaging) : 1;
  const random = Math.hypot(wire.noise, step / Math.sqrt(12)) / Math.sqrt(samples);
  const smallest = Math.hypot(random, samples > 1 ? residue(step, wire.noise) : 0);
  const times = value / smallest;
  if (times >= steps.warn) return [];
  const severity = times < steps.refuse ? 'refuse' : 'warn';
  const dimension: Dimension = current ? 'current' : wire.unit === 'V' ? 'voltage' : 'illuminance';
  const shown = (own: number): string => formatQuantity(own, dimension, undefined, 2);
  const level = `at ${formatQuantity(lowest, 'ratio', '%', 2)} of full light ${capture.signal} is about ${shown(value)}`;
  const noisy = wire.noise / Math.sqrt(samples) > smallest / 2;
  const found = noisy
    ? `the noise of input ${wire.input} leaves ${shown(smallest)}`
    : `one step of the ${wire.bits} bit of input ${wire.input} is ${shown(step)}`;
  const room = ((value / steps[severity]) * Math.sqrt(samples)) ** 2 - step ** 2 / 12;
  const enough =
    noisy && room > 0
      ? `a noise of at most ${shown(Math.sqrt(room))} rms would be enough`
      : `at least ${enoughBits(value, wire.fullScale, severity)} bit would be enough`;
  return [
    {
      severity,
      metric: metric.id,
      line: criterion.line,
      message: `${level}, but ${found}; ${enough}`,
    },
  ];
}

/**
 * What an average still owes to the steps of the converter: the largest error of the mean of rounded values with
 * Gaussian noise, step / pi * exp(-2 (pi noise / step)^2), its first Fourier term (computed). Noise of half a step
 * leaves 0.2 % of a step, none leaves a third of one.
 */
function residue(step: number, noise: number): number {
  return (step / Math.PI) * Math.exp(-2 * ((Math.PI * noise) / step) ** 2);
}

function averages(family: string): boolean {
  return family !== 'flicker' && family !== 'camera';
}

function enoughBits(value: number, fullScale: number, severity: 'refuse' | 'warn'): number {
  return 1 + Math.ceil(Math.log2((steps[severity] * fullScale) / value));
}
