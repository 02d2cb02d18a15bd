import type { Lamp } from '../bench/lamp.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import type { Doubt } from './doubt.ts';
import type { PlannedJudgement } from './planned-judgement.ts';

/** Rate, length, bandwidth and aliasing of the record that a metric reads. */
export function checkSampling(planned: PlannedJudgement): Doubt[] {
  const { metric, criterion } = planned;
  const about = { metric: metric.id, line: criterion.line };
  const folding = aliasing(planned);
  return [
    ...refusals
      .flatMap((refusal) => refusal(planned) ?? [])
      .map((message): Doubt => ({ ...about, severity: 'refuse', message })),
    ...(folding === null ? [] : [{ ...about, severity: 'warn' as const, message: folding }]),
  ];
}

/** Each says what is needed, what was found and what would be enough; null where nothing is amiss. */
const refusals: readonly ((planned: PlannedJudgement) => string | null)[] = [
  beyondInstrument,
  tooSlow,
  tooShort,
  tooLong,
  tooManySamples,
  tooNarrow,
];

function beyondInstrument({ metric, capture, rate, instrument }: PlannedJudgement): string | null {
  const { highestRate } = instrument?.limits ?? {};
  const wanted = Math.max(rate ?? 0, metric.needs.rate ?? 0);
  if (highestRate === undefined || wanted <= highestRate) return null;
  const found = `${capture.wire.instrument} samples at most at ${perSecond(highestRate)}`;
  return `needs ${perSecond(wanted)}, but ${found}; ${perSecond(wanted)} would be enough`;
}

/** A metric refuses a record slower than its need; that is known beforehand. */
function tooSlow({ metric, capture, rate }: PlannedJudgement): string | null {
  const { needs } = metric;
  if (rate === null || needs.rate === undefined || rate >= needs.rate) return null;
  return `needs ${perSecond(needs.rate)}, but the capture ${capture.id} has ${perSecond(rate)}; raise its rate`;
}

function tooShort({ metric: { needs }, window }: PlannedJudgement): string | null {
  if (needs.duration === undefined || window >= needs.duration * (1 - 1e-9)) return null;
  return `needs a record of ${time(needs.duration)}, but the window lasts ${time(window)}; hold longer`;
}

function tooLong({ capture, instrument, record }: PlannedJudgement): string | null {
  const { longestRecord } = instrument?.limits ?? {};
  if (longestRecord === undefined || record <= longestRecord) return null;
  const found = `${capture.wire.instrument} records at most ${time(longestRecord)}`;
  return `records ${time(record)}, but ${found}; ${time(record)} would be enough`;
}

function tooManySamples({ capture, rate, instrument, record }: PlannedJudgement): string | null {
  const { memory } = instrument?.limits ?? {};
  if (rate === null || memory === undefined) return null;
  const samples = Math.round(record * rate);
  if (samples <= memory) return null;
  const found = `${capture.wire.instrument} keeps at most ${memory}`;
  return `records ${samples} samples (${time(record)} at ${perSecond(rate)}), but ${found}; lower the rate or shorten the record`;
}

function tooNarrow({ metric: { needs }, capture: { wire } }: PlannedJudgement): string | null {
  const band = Math.min(wire.bandwidth, wire.antiAlias ?? Number.POSITIVE_INFINITY);
  if (needs.bandwidth === undefined || band >= needs.bandwidth) return null;
  const found = `the input ${wire.input} passes ${hertz(band)}`;
  return `needs a bandwidth of ${hertz(needs.bandwidth)}, but ${found}; ${hertz(needs.bandwidth)} would be enough`;
}

/** A digitiser that samples instants folds everything above half its rate into the record. */
function aliasing({ capture: { wire }, rate, instrument, lamp }: PlannedJudgement): string | null {
  if (rate === null || instrument?.limits.acquisition !== 'point') return null;
  const tone = lowestTone(lamp);
  const half = rate / 2;
  const passed = Math.min(wire.antiAlias ?? wire.bandwidth, wire.bandwidth);
  if (tone === null || passed <= half) return null;
  const found = `the modulator's tones from ${hertz(tone)} on fold into a record of ${perSecond(rate)}`;
  const enough = `an anti-alias filter of at most ${hertz(half)}, a rate above ${perSecond(2 * passed)}, or an integrating acquisition would be enough`;
  return `${wire.instrument} samples instants, so ${found}; ${enough}`;
}

/** Lowest frequency at which the modulator can put light, Hz. */
function lowestTone({ modulation }: Lamp): number | null {
  if (modulation.kind === 'pwm') return modulation.frequency;
  return modulation.kind === 'pulse-density' ? modulation.clock / 2 ** modulation.bits : null;
}

function hertz(value: number): string {
  return formatQuantity(value, 'frequency');
}

function perSecond(value: number): string {
  return `${formatQuantity(value / 1000, 'number')} kS/s`;
}

function time(value: number): string {
  return formatQuantity(value, 'time');
}
