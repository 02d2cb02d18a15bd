import type { Sampling } from '../../waveform.ts';

/**
 * The least share of a component's amplitude that may have come through: what is left by the mean over a sample's interval,
 * sinc(f/rate), and by one pole at the sensor's bandwidth. Samples may as well be points, and the sensor flat: what is
 * known of a record does not tell, so a figure has to allow for both.
 *
 * @param frequency Hz, below half the rate
 */
export function leastPassed(
  { rate, bandwidth = Infinity }: Pick<Sampling, 'rate' | 'bandwidth'>,
  frequency: number,
): number {
  const x = (Math.PI * frequency) / rate;
  return (x === 0 ? 1 : Math.sin(x) / x) / Math.hypot(1, frequency / bandwidth);
}
