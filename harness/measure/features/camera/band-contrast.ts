import { largestOfNormals } from '../../signal/largest-of-normals.ts';
import { valueAt } from '../../signal/samples.ts';
import type { Waveform } from '../../waveform.ts';
import { bareEdges } from './bare-edges.ts';
import { rowExposures } from './row-exposures.ts';
import { worstFrame } from './worst-frame.ts';

/** Contrast of the bands in the worst frame of a record. */
export interface BandContrast {
  /** (high - low) / (high + low), ratio. */
  readonly contrast: number;
  /** From the samples as they are. */
  readonly raw: number;
  /** Start of the worst frame, s from the record's start. */
  readonly at: number;
  /**
   * Standard uncertainty from where edges fall within their samples, in a record of instants: it does not tell how much light
   * a row collects.
   */
  readonly edges: number;
  /** Standard uncertainty from a smooth course within a sample, of instants or means, and between two starts of an exposure. */
  readonly course: number;
}

/** A swing of this many times the noise may be noise alone. */
const noiseSwing = 12;
/** What an edge in a record of instants may move, in samples; edges in one exposure add as random ones do (computed over pulses of all duties). */
const edgeShare = 0.8;

/**
 * Michelson contrast between the darkest and the brightest row of the worst frame, for a rectangular exposure and a
 * shutter that takes the whole frame time to roll. Exact for light that is constant within a sample.
 * What white noise adds to the extremes of many rows is taken off, as for the modulation.
 *
 * @param exposure s; @param frameTime s; the record lasts at least their sum
 * @param noise rms of one sample, in the record's unit
 */
export function bandContrast(
  { samples, rate }: Pick<Waveform, 'samples' | 'rate'>,
  exposure: number,
  frameTime: number,
  noise: number,
): BandContrast {
  const length = exposure * rate;
  const { light, perSample, startOf } = rowExposures(samples, length);
  const span = Math.floor(frameTime * rate * perSample + 1e-6) + 1;
  const { low, high, first, lowAt, highAt } = worstFrame(light, span);
  const bends = bendAt(light, lowAt, perSample) + bendAt(light, highAt, perSample);
  const rms = noise / Math.sqrt(length);
  const each = length * perSample;
  const lift = rms * largestOfNormals(near(light, high, -rms, each));
  const drop = rms * largestOfNormals(near(light, low, rms, each));
  const half = (high - low) / 2;
  const corrected = { high: high - Math.min(half, lift), low: low + Math.min(half, drop) };
  const { height: found, density } = bareEdges(samples);
  const height = found > noiseSwing * noise ? found : 0;
  const apart = edgeShare * Math.sqrt(1 + density * length);
  return {
    contrast: contrast(Math.max(0, corrected.low), corrected.high),
    edges: (height * apart) / length / Math.max(high + low, Number.MIN_VALUE),
    course: (bends * withinSample) / Math.max(high + low, Number.MIN_VALUE),
    raw: contrast(low, high),
    at: startOf(first) / rate,
  };
}

/**
 * Half-width of a rectangle: an eighth of the bend may lie between two starts, which lowers the contrast; instants for means raise
 * it by a twenty-fourth (parabola).
 */
const withinSample = 1 / 8 / Math.sqrt(3);

/**
 * Second difference of an exposure's light from sample to sample, where the light's course is smooth: at the corner that an
 * edge makes, where it is exact, the neighbours do not bend.
 */
function bendAt(light: Float64Array, at: number, apart: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let k = at - apart; k <= at + apart; k += apart) {
    if (k - apart < 0 || k + apart >= light.length) continue;
    const beside = valueAt(light, k - apart) + valueAt(light, k + apart);
    least = Math.min(least, Math.abs(beside - 2 * valueAt(light, k)));
  }
  return Number.isFinite(least) ? least : 0;
}

/** Independent exposures that could have been the extreme: those within the reach of the noise of it. */
function near(light: Float64Array, extreme: number, noise: number, each: number): number {
  if (noise === 0) return 0;
  const edge = extreme + 2 * largestOfNormals(Math.ceil(light.length / each)) * noise;
  let count = 0;
  // Exposures that overlap share their noise.
  for (let k = 0, next = 0; k < light.length; k++) {
    if (k < next || (noise > 0 ? valueAt(light, k) > edge : valueAt(light, k) < edge)) continue;
    count++;
    next = k + each;
  }
  return count;
}

function contrast(low: number, high: number): number {
  return high + low > 0 ? (high - low) / (high + low) : 0;
}
