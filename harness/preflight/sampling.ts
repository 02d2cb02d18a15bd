import type { Lamp } from '../bench/lamp.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import type { Doubt } from './doubt.ts';
import type { PlannedJudgement } from './planned-judgement.ts';

/** Rate, length, bandwidth and aliasing of the record that a metric reads. */
export function checkSampling(planned: PlannedJudgement): Doubt[] {
  const { metric, criterion, capture, rate: own, instrument, window, record } = planned;
  const { wire } = capture;
  const captureRate = own ?? 0;
  const { needs } = metric;
  const doubt = (severity: Doubt['severity'], message: string): Doubt => ({
    severity,
    metric: metric.id,
    line: criterion.line,
    message,
  });
  const doubts: Doubt[] = [];
  const { highestRate, longestRecord, memory } = instrument?.limits ?? {};
  const wanted = Math.max(captureRate, needs.rate ?? 0);
  if (highestRate !== undefined && wanted > highestRate) {
    const found = `${wire.instrument} samples at most at ${rate(highestRate)}`;
    doubts.push(
      doubt('refuse', `needs ${rate(wanted)}, but ${found}; ${rate(wanted)} would be enough`),
    );
  }
  if (needs.duration !== undefined && window < needs.duration * (1 - 1e-9)) {
    const found = `the window lasts ${time(window)}`;
    doubts.push(
      doubt('refuse', `needs a record of ${time(needs.duration)}, but ${found}; hold longer`),
    );
  }
  if (longestRecord !== undefined && record > longestRecord) {
    const found = `${wire.instrument} records at most ${time(longestRecord)}`;
    doubts.push(
      doubt('refuse', `records ${time(record)}, but ${found}; ${time(record)} would be enough`),
    );
  }
  const samples = Math.round(record * captureRate);
  if (memory !== undefined && samples > memory) {
    const found = `${wire.instrument} keeps at most ${memory}`;
    doubts.push(
      doubt(
        'refuse',
        `records ${samples} samples (${time(record)} at ${rate(captureRate)}), but ${found}; lower the rate or shorten the record`,
      ),
    );
  }
  const band = Math.min(wire.bandwidth, wire.antiAlias ?? Number.POSITIVE_INFINITY);
  if (needs.bandwidth !== undefined && band < needs.bandwidth) {
    const found = `the input ${wire.input} passes ${hertz(band)}`;
    doubts.push(
      doubt(
        'refuse',
        `needs a bandwidth of ${hertz(needs.bandwidth)}, but ${found}; ${hertz(needs.bandwidth)} would be enough`,
      ),
    );
  }
  return [...doubts, ...checkAliasing(planned, doubt)];
}

/** A digitiser that samples instants folds everything above half its rate into the record. */
function checkAliasing(
  { capture, rate: own, instrument, lamp }: PlannedJudgement,
  doubt: (severity: Doubt['severity'], message: string) => Doubt,
): Doubt[] {
  const { wire } = capture;
  if (own === null || instrument?.limits.acquisition !== 'point') return [];
  const tone = lowestTone(lamp);
  const half = own / 2;
  const passed = Math.min(wire.antiAlias ?? wire.bandwidth, wire.bandwidth);
  if (tone === null || passed <= half) return [];
  const found = `the modulator's tones from ${hertz(tone)} on fold into a record of ${rate(own)}`;
  const enough = `an anti-alias filter of at most ${hertz(half)}, a rate above ${rate(2 * passed)}, or an integrating acquisition would be enough`;
  return [doubt('warn', `${wire.instrument} samples instants, so ${found}; ${enough}`)];
}

/** Lowest frequency at which the modulator can put light, Hz. */
function lowestTone({ modulation }: Lamp): number | null {
  if (modulation.kind === 'pwm') return modulation.frequency;
  return modulation.kind === 'pulse-density' ? modulation.clock / 2 ** modulation.bits : null;
}

function hertz(value: number): string {
  return formatQuantity(value, 'frequency');
}

function rate(value: number): string {
  return `${formatQuantity(value / 1000, 'number')} kS/s`;
}

function time(value: number): string {
  return formatQuantity(value, 'time');
}
