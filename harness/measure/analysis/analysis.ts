import { type Extremes, extremes } from '../signal/extremes.ts';
import { memoiseSamples } from '../signal/memoise.ts';
import { type NoiseFloor, noiseFloor } from '../signal/noise-floor.ts';
import { noiseLevel } from '../signal/noise-level.ts';
import { type PowerSpectrum, powerSpectrum, segmentTime } from '../signal/power-spectrum.ts';
import { type SlowSines, slowSines } from '../signal/slow-sines.ts';
import { type SpectralLine, spectralLines, strongestLine } from '../signal/spectral-lines.ts';
import { type Statistics, statistics } from '../signal/statistics.ts';
import type { Waveform } from '../waveform.ts';
import { isDisturbed, type SampleError } from './disturbed-waveform.ts';

/** What several metrics ask of one record, each part computed once, when first asked for. */
export interface Analysis {
  readonly statistics: Statistics;
  readonly spectrum: PowerSpectrum;
  readonly floor: NoiseFloor;
  /** White noise of one sample, rms, in the record's unit. */
  readonly noise: number;
  readonly extremes: Extremes;
  /** In order of frequency. */
  readonly lines: readonly SpectralLine[];
  /** What is slower than any of the lines. */
  readonly slow: SlowSines;
  /** The strongest line, where there is one and nothing slower outweighs it. */
  readonly dominant: SpectralLine | undefined;
}

/**
 * The analysis of a record; the same record (or the same window of it) asked again costs nothing. Gain, offset and rate
 * change its figures in ways that are known, so a record that errors of calibration have moved is not analysed again.
 */
export function analysisOf(waveform: Waveform): Analysis {
  if (!isDisturbed(waveform)) return analysisOfRecord(waveform);
  const { recorded, error } = waveform;
  if (!error.noise && error.gain > 0) return moved(analysisOf(recorded), error);
  // Samples with noise are drawn when a part of the analysis is asked for: not every metric needs them.
  const noisy = once(() => analysisOfRecord(waveform));
  return lazily({
    statistics: () => noisy().statistics,
    spectrum: () => noisy().spectrum,
    floor: () => noisy().floor,
    noise: () => noisy().noise,
    extremes: () => noisy().extremes,
    lines: () => noisy().lines,
    slow: () => noisy().slow,
  });
}

function analysisOfRecord({ samples, rate }: Waveform): Analysis {
  return analysisAtRate(samples, rate);
}

/** With frequencies in Hz. Records that are one segment at any rate share one analysis. */
const analysisAtRate = memoiseSamples((samples, rate: number): Analysis => {
  // Rounded, so that a clock that is off by a few parts in a million needs no other spectrum.
  const wanted = Number((segmentTime * rate).toPrecision(3));
  const segment = samples.length <= 1.5 * wanted ? Infinity : wanted;
  const whole = analysisInSamples(samples, segment);
  return lazily({
    statistics: () => whole.statistics,
    spectrum: () => ({ ...whole.spectrum, step: whole.spectrum.step * rate }),
    floor: () => whole.floor,
    noise: () => whole.noise,
    extremes: () => whole.extremes,
    lines: () => whole.lines.map((line) => atRate(line, rate)),
    slow: () => ({
      lines: whole.slow.lines.map((line) => atRate(line, rate)),
      mean: whole.slow.mean,
      at: (frequency) => whole.slow.at(frequency / rate),
      end: whole.slow.end * rate,
    }),
  });
});

function atRate({ frequency, amplitude, spread }: SpectralLine, rate: number): SpectralLine {
  const line = { frequency: frequency * rate, amplitude };
  return spread === undefined ? line : { ...line, spread: spread * rate };
}

/** With frequencies in cycles per sample; `segment` in samples. */
const analysisInSamples = memoiseSamples((samples, segment: number): Analysis => {
  const whole: Analysis = lazily({
    statistics: () => statistics(samples),
    spectrum: () => powerSpectrum({ samples, rate: 1 }, segment),
    floor: () => noiseFloor(whole.spectrum),
    noise: () => noiseLevel(samples, whole.floor),
    extremes: () => extremes(samples, whole.statistics, whole.noise),
    lines: () => spectralLines(whole.spectrum, whole.floor),
    slow: () => slowSines(samples, whole.spectrum, whole.floor, whole.lines),
  });
  return whole;
});

/** What gain and offset make of an analysis. The offset does not reach the spectrum: it is without the mean. */
function moved(original: Analysis, { gain, offset }: SampleError): Analysis {
  const level = (value: number): number => value * gain + offset;
  return lazily({
    statistics: () => {
      const { mean, lowest, highest, ...places } = original.statistics;
      return { ...places, mean: level(mean), lowest: level(lowest), highest: level(highest) };
    },
    spectrum: () => {
      const { power, mean, ...rest } = original.spectrum;
      return { ...rest, power: scaled(power, gain * gain), mean: level(mean) };
    },
    floor: () => {
      const { levels, ends, rms } = original.floor;
      return { levels: scaled(levels, gain * gain), ends, rms: rms * gain };
    },
    noise: () => original.noise * gain,
    extremes: () => {
      const { low, high, lowAlone, highAlone, ...sizes } = original.extremes;
      const { lowCorrection, highCorrection, lowBetween, highBetween } = sizes;
      return {
        low: level(low),
        high: level(high),
        lowCorrection: lowCorrection * gain,
        highCorrection: highCorrection * gain,
        lowBetween: lowBetween * gain,
        highBetween: highBetween * gain,
        lowAlone,
        highAlone,
      };
    },
    lines: () => original.lines.map((line) => ({ ...line, amplitude: line.amplitude * gain })),
    slow: () => ({
      lines: original.slow.lines.map((line) => ({ ...line, amplitude: line.amplitude * gain })),
      mean: level(original.slow.mean),
      at: (frequency) => {
        const { amplitude, standard } = original.slow.at(frequency);
        return { amplitude: amplitude * gain, standard: standard * gain };
      },
      end: original.slow.end,
    }),
  });
}

function scaled(values: Float64Array, factor: number): Float64Array {
  return factor === 1 ? values : values.map((value) => value * factor);
}

type Parts = { readonly [K in keyof Omit<Analysis, 'dominant'>]: () => Analysis[K] };

/** Each part computed when first asked for, and only then. */
function lazily(parts: Parts): Analysis {
  const whole = {} as Analysis;
  const dominant = () => strongestLine(whole.lines, whole.spectrum);
  for (const [name, compute] of Object.entries({ ...parts, dominant })) {
    Object.defineProperty(whole, name, { get: once<unknown>(compute), enumerable: true });
  }
  return whole;
}

function once<T>(compute: () => T): () => T {
  let done = false;
  let value: T;
  return () => {
    if (!done) {
      value = compute();
      done = true;
    }
    return value;
  };
}
