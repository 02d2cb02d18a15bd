import { flickerSensation } from '../../harness/measure/features/flicker/flicker-sensation.ts';
import {
  flickerBand,
  flickerMemory,
  voltageWeighting,
} from '../../harness/measure/features/flicker/flickermeter-blocks.ts';
import { shortTermSeverity } from '../../harness/measure/features/flicker/short-term-severity.ts';
import { valueAt } from '../../harness/measure/signal/samples.ts';
import { magnitude, type Section } from '../../harness/measure/signal/sections.ts';

/** The sine that defines a sensation of 1: 8.8 Hz, ΔV/V = 0.25 % peak to peak for 230 V (0.321 % for 120 V, from memory). */
const reference = { frequency: 8.8, '230V': 0.0025, '120V': 0.00321 } as const;

/** A voltage flickermeter for one mains system, at one sampling rate. */
export interface VoltageFlickermeter {
  /** P_inst of a voltage record (instantaneous values in V, at least 10 s), scaled: 1 is the threshold. */
  sensation(volts: Float64Array): Float64Array;
  /** Pst of a voltage record; the standard's observation time is 10 min. */
  severity(volts: Float64Array): number;
}

/**
 * The flickermeter of IEC 61000-4-15:2010 for voltage, built from the blocks of the light flickermeter: it is how those
 * blocks are held against the standard's published points.
 *
 * @param rate sampling rate, Hz; at least 1 kHz, for the squared mains must not fold
 */
export function voltageFlickermeter(system: '230V' | '120V', rate: number): VoltageFlickermeter {
  const weighting = [...flickerBand(system, rate), ...voltageWeighting(system, rate)];
  const smoothing = flickerMemory(rate);
  const scale = sensationScaleOf(system, weighting, smoothing, rate);
  const sensation = (volts: Float64Array): Float64Array =>
    flickerSensation(demodulated(volts), rate, weighting, smoothing).map((p) =>
      Math.max(0, scale * p),
    );
  return { sensation, severity: (volts) => shortTermSeverity(sensation(volts)) };
}

/** Blocks 1 and 2: squared voltage relative to its mean, which is also the square of the rms. */
function demodulated(volts: Float64Array): Float64Array {
  let sum = 0;
  for (let k = 0; k < volts.length; k++) sum += valueAt(volts, k) * valueAt(volts, k);
  const mean = sum / volts.length;
  return volts.map((v) => (v * v) / mean - 1);
}

/** Scale that makes the largest sensation 1 at the reference: mean of the square times the ripple at twice the frequency. */
function sensationScaleOf(
  system: '230V' | '120V',
  weighting: readonly Section[],
  smoothing: readonly Section[],
  rate: number,
): number {
  const { frequency } = reference;
  // ΔV/V is peak to peak: the envelope swings by half of it, its square by all of it.
  const amplitude = reference[system] * magnitude(weighting, frequency, rate);
  const ripple = 1 + magnitude(smoothing, 2 * frequency, rate);
  return 1 / ((amplitude * amplitude * ripple) / 2);
}
