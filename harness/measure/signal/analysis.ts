import { type Extremes, extremes } from './extremes.ts';
import { type NoiseFloor, noiseFloor } from './noise-floor.ts';
import { noiseLevel } from './noise-level.ts';
import { type PowerSpectrum, powerSpectrum } from './power-spectrum.ts';
import { type SpectralLine, spectralLines, strongestLine } from './spectral-lines.ts';
import { type Statistics, statistics } from './statistics.ts';
import type { Waveform } from './waveform.ts';

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
  /** The strongest line, where there is one and nothing slower outweighs it. */
  readonly dominant: SpectralLine | undefined;
}

// Kept with the memory of the samples and gone with it. Samples are never written after they were recorded.
const kept = new WeakMap<ArrayBufferLike, Map<string, Analysis>>();

/** The analysis of a record; the same record (or the same window of it) asked again costs nothing. */
export function analysisOf(waveform: Waveform): Analysis {
  const { samples, rate } = waveform;
  const key = `${samples.BYTES_PER_ELEMENT} ${samples.byteOffset} ${samples.length} ${rate}`;
  let ofBuffer = kept.get(samples.buffer);
  if (!ofBuffer) kept.set(samples.buffer, (ofBuffer = new Map()));
  let analysis = ofBuffer.get(key);
  if (!analysis) ofBuffer.set(key, (analysis = analyse(samples, rate)));
  return analysis;
}

function analyse(samples: Waveform['samples'], rate: number): Analysis {
  const stats = once(() => statistics(samples));
  const spectrum = once(() => powerSpectrum({ samples, rate }));
  const floor = once(() => noiseFloor(spectrum()));
  const noise = once(() => noiseLevel(samples, floor()));
  const ends = once(() => extremes(samples, stats(), noise()));
  const lines = once(() => spectralLines(spectrum(), floor()));
  return {
    get statistics() {
      return stats();
    },
    get spectrum() {
      return spectrum();
    },
    get floor() {
      return floor();
    },
    get noise() {
      return noise();
    },
    get extremes() {
      return ends();
    },
    get lines() {
      return lines();
    },
    get dominant() {
      return lines()[strongestLine(lines(), spectrum())];
    },
  };
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
