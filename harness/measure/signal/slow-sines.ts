import { type Basis, dot, extended, remainder } from './least-squares.ts';
import type { NoiseFloor } from './noise-floor.ts';
import type { PowerSpectrum } from './power-spectrum.ts';
import { quickselect } from './quickselect.ts';
import { type Samples, valueAt } from './samples.ts';
import { type SlowCourse, slowCourse } from './slow-course.ts';
import type { SpectralLine } from './spectral-lines.ts';
import { mainLobe } from './window-function.ts';

/** What sines below the spectrum's lowest line a record holds: the window's main lobe around zero hides them there. */
export interface SlowSines {
  /** Sines of more than two periods that stand out and explain nearly all that is slow. In order of frequency. */
  readonly lines: readonly SpectralLine[];
  /** Mean of the record by the fit: with fewer than five periods the spectrum's own is no mean. NaN without `lines`. */
  readonly mean: number;
  /** Amplitude that a further sine at a frequency below `end` has by the fit, and its standard deviation by noise. */
  readonly at: (frequency: number) => SlowFigure;
  /** The lowest frequency that the spectrum shows, in the unit of its `step`. */
  readonly end: number;
}

interface SlowFigure {
  /** In the record's unit. */
  readonly amplitude: number;
  readonly standard: number;
}

/** Lines of the spectrum within so many bins are fitted along, as the weights do not keep them apart. */
const reach = 14;
const mostNeighbours = 6;
/** Trials a bin. */
const fineness = 4;
/** A sine of fewer periods cannot be told from a bent drift. */
const fewestPeriods = 2;
/** The spectrum leaves out up to so much of a record, to have a length with small factors: two periods of it are two all the same. */
const leftOut = 0.02;
const mostSines = 2;
/** Degree of a drift that bends: a fade's course within two periods is no closer to a sine. */
const cubic = 3;
/** A sine stands out so many standard deviations above the noise. */
const standsOut = 5;
/** Share of the slow part that the sines must explain to be there. */
const explains = 0.8;
/** A sine this near to a line, in bins, is that line. */
const same = 0.5;

/**
 * Least-squares fits of a drift, the lowest lines of the spectrum and one sine more, Hann-weighted. The drift is a cubic
 * beside a sine of two periods or more, a slope beside one of one period or more, and none beside a slower one, from which it
 * cannot be told. A record of several segments has no slow sines: its spectrum reaches deep.
 */
export function slowSines(
  samples: Samples,
  spectrum: PowerSpectrum,
  floor: NoiseFloor,
  lines: readonly SpectralLine[],
): SlowSines {
  const { step, window, segments, length } = spectrum;
  const last = mainLobe[window] + 1;
  if (segments > 1)
    return {
      lines: [],
      mean: Number.NaN,
      at: () => ({ amplitude: 0, standard: 0 }),
      end: last * step,
    };
  const course = slowCourse(samples);
  const near = lines.filter(({ frequency }) => frequency < reach * step).slice(0, mostNeighbours);
  const known = near.map(({ frequency }) => frequency / step);
  const fit = new SlowFit(course, length, deviationOf(course, spectrum, floor, near));
  const found = fit.clearSines(known, last).sort((a, b) => a - b);
  const all = [...known, ...found];
  const amplitude = (bins: number) =>
    fit.sine(bins, fit.basis(all.filter((other) => other !== bins))).amplitude;
  const bases = [0, 1, cubic].map((degree) => fit.basis(all, degree));
  return {
    lines: found.map((bins) => ({ frequency: bins * step, amplitude: amplitude(bins) })),
    mean: found.length > 0 ? fit.mean(all) : Number.NaN,
    at: (frequency) => {
      const bins = frequency / step;
      const own = all.some((other) => Math.abs(other - bins) < same);
      const basis = bases[bins < 1 ? 0 : bins < (1 - leftOut) * fewestPeriods ? 1 : 2];
      return own || !basis ? { amplitude: 0, standard: 0 } : fit.sine(bins, basis);
    },
    end: last * step,
  };
}

/** A fitted sine. */
interface Sine extends SlowFigure {
  /** What it explains of the squares' sum. */
  readonly energy: number;
}

/** Fits of one course; frequencies in bins. */
class SlowFit {
  readonly #course: SlowCourse;
  readonly #length: number;
  readonly #deviation: number;

  /** @param length of a bin's period, in samples; @param deviation of one point by noise */
  constructor(course: SlowCourse, length: number, deviation: number) {
    this.#course = course;
    this.#length = length;
    this.#deviation = deviation;
  }

  /** @param degree of the polynomial that stands for the drift */
  basis(bins: readonly number[], degree = cubic): Basis {
    const { roots, at } = this.#course;
    const middle = valueAt(at, at.length >> 1);
    const powers = Array.from({ length: degree + 1 }, (_, power) =>
      roots.map((root, k) => root * (valueAt(at, k) / middle - 1) ** power),
    );
    return extended([], [...powers, ...bins.flatMap((each) => this.#pair(each))]);
  }

  /** The constant beside a slope and sines. */
  mean(bins: readonly number[]): number {
    const { roots, at, values } = this.#course;
    const middle = (valueAt(at, 0) + valueAt(at, at.length - 1)) / 2;
    const slope = roots.map((root, k) => root * (valueAt(at, k) - middle));
    const own = remainder(
      roots,
      extended([], [slope, ...bins.flatMap((each) => this.#pair(each))]),
    );
    return dot(own, values) / dot(own, own);
  }

  /** By what the basis leaves of the sine's columns: squares and products less those of their shares in it (Pythagoras). */
  sine(bins: number, basis: Basis): Sine {
    const [c, s] = this.#pair(bins);
    const { values } = this.#course;
    let [cc, ss, cs] = [dot(c, c), dot(s, s), dot(c, s)];
    let [cy, sy] = [dot(c, values), dot(s, values)];
    for (const unit of basis) {
      const [cu, su, yu] = [dot(c, unit), dot(s, unit), dot(values, unit)];
      cc -= cu * cu;
      ss -= su * su;
      cs -= cu * su;
      cy -= cu * yu;
      sy -= su * yu;
    }
    const area = cc * ss - cs * cs;
    const [a, b] = [(ss * cy - cs * sy) / area, (cc * sy - cs * cy) / area];
    // The direction of which the course says least; the weights, at most 1, make it better than that.
    const least = (cc + ss) / 2 - Math.hypot((cc - ss) / 2, cs);
    return {
      amplitude: Math.hypot(a, b),
      standard: this.#deviation / Math.sqrt(Math.max(least, Number.MIN_VALUE)),
      energy: a * cy + b * sy,
    };
  }

  /** The sines that explain nearly all that lies below bin `last`, besides the known ones; none if they do not. */
  clearSines(known: readonly number[], last: number): number[] {
    const found: number[] = [];
    let slow = Number.NaN;
    const rest = remainder(this.#course.values, this.basis(known));
    const whole = dot(rest, rest);
    while (found.length < mostSines) {
      const taken = [...known, ...found];
      const next = this.#clearest(this.basis(taken), taken, last);
      if (next === null) return [];
      if (found.length === 0) slow = this.#slowEnergy(rest, known, last);
      found.push(next);
      const left = remainder(rest, this.basis([...known, ...found]));
      if (whole - dot(left, left) >= explains * slow) return found;
    }
    return [];
  }

  /** What of a remainder lies below bin `last`: what sines half a bin apart explain. */
  #slowEnergy(rest: Float64Array, known: readonly number[], last: number): number {
    const slow: Float64Array[] = [];
    for (let bins = 0.5; bins <= last; bins += 0.5) slow.push(...this.#pair(bins));
    const beyond = remainder(rest, extended(this.basis(known), slow));
    return dot(rest, rest) - dot(beyond, beyond);
  }

  /** The sine that explains most, if it stands out and lies within the range of the trials. */
  #clearest(basis: Basis, taken: readonly number[], last: number): number | null {
    const free = (bins: number) => taken.every((other) => Math.abs(other - bins) >= same);
    let best = 0;
    let most = 0;
    for (let bins = fewestPeriods; bins <= last; bins += 1 / fineness) {
      const energy = free(bins) ? this.sine(bins, basis).energy : 0;
      if (energy > most) [best, most] = [bins, energy];
    }
    if (best <= fewestPeriods) return null;
    const { amplitude, standard } = this.sine(best, basis);
    return amplitude > standsOut * standard ? this.#refined(best, basis) : null;
  }

  /** The frequency around a trial at which the sine explains most (golden section). */
  #refined(trial: number, basis: Basis): number {
    const ratio = (Math.sqrt(5) - 1) / 2;
    let [low, high] = [trial - 1 / fineness, trial + 1 / fineness];
    for (let k = 0; k < 18; k++) {
      const width = ratio * (high - low);
      const [a, b] = [high - width, low + width];
      if (this.sine(a, basis).energy > this.sine(b, basis).energy) high = b;
      else low = a;
    }
    return (low + high) / 2;
  }

  #pair(bins: number): [Float64Array, Float64Array] {
    const { roots, at, passed } = this.#course;
    const turn = (2 * Math.PI * bins) / this.#length;
    const left = passed(bins / this.#length);
    return [
      roots.map((root, k) => left * root * Math.cos(turn * valueAt(at, k))),
      roots.map((root, k) => left * root * Math.sin(turn * valueAt(at, k))),
    ];
  }
}

/** Noise of one point: that of the spectrum at low frequencies, where it is no line's. */
function deviationOf(
  { at }: SlowCourse,
  { power, length, step, window }: PowerSpectrum,
  { levels }: NoiseFloor,
  near: readonly SpectralLine[],
): number {
  const half = mainLobe[window];
  const free: number[] = [];
  for (let k = half + 1; k < 2 * reach && k < power.length; k++) {
    const own = near.some(({ frequency }) => Math.abs(frequency / step - k) <= half);
    if (!own) free.push(valueAt(power, k));
  }
  const local =
    free.length < fewestFree
      ? 0
      : quickselect(Float64Array.from(free), free.length >> 1) / medianOfPower;
  const level = Math.max(local, levels[0] ?? 0);
  // Noise of variance s² gives 4 s²/length in each bin, and s²/apart in means over `apart` samples.
  const apart = at.length > 1 ? valueAt(at, 1) - valueAt(at, 0) : 1;
  return Math.sqrt((level * length) / 4 / apart);
}

const fewestFree = 6;
/** Median of a bin's power in its mean: ln 2 (exponential distribution). */
const medianOfPower = Math.LN2;
