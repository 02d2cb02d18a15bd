import type { Metric } from '../../harness/measure/metric.ts';
import type { CaptureId, ColourReading, Observation } from '../../harness/measure/observation.ts';

/** Thrown by a tripwire. */
class Tripped extends Error {
  readonly capture: CaptureId;
  constructor(capture: CaptureId) {
    super(`read ${capture}`);
    this.capture = capture;
  }
}

/**
 * The captures of which a metric reads a sample, a row or a tristimulus value, found without any help of the harness: every
 * capture is wired to throw at the first reading of a figure. What trips is handed over as it is the next time, and the
 * metric is computed again, until it comes to its end. Each time the samples are fresh ones: nothing is memoised for them.
 */
export function capturesReadBy(metric: Metric, observation: Observation): ReadonlySet<CaptureId> {
  const read = new Set<CaptureId>();
  const handed = (): Observation => ({
    ...observation,
    commanded: structuredClone(observation.commanded),
    records: observation.records.map((record) => {
      const { samples } = record.waveform;
      const figures = handedFigures(samples, record.capture, read);
      return { ...record, waveform: { ...record.waveform, samples: figures } };
    }),
    colour: observation.colour.map((one) => (read.has(one.capture) ? one : wiredReading(one))),
    frames: observation.frames.map((frame) => {
      return { ...frame, rows: handedFigures(frame.rows, frame.capture, read) };
    }),
  });
  for (;;) {
    try {
      metric.compute(handed());
      return read;
    } catch (error) {
      if (!(error instanceof Tripped) || read.has(error.capture)) throw error;
      read.add(error.capture);
    }
  }
}

type Figures = Float32Array | Float64Array;

/** What may be asked of samples without reading one. */
const known: ReadonlySet<string | symbol> = new Set([
  'length',
  'byteLength',
  'byteOffset',
  'buffer',
  'BYTES_PER_ELEMENT',
  'constructor',
]);

function handedFigures<T extends Figures>(
  figures: T,
  capture: CaptureId,
  read: ReadonlySet<CaptureId>,
): T {
  if (read.has(capture)) return figures.slice() as T;
  // Nobody will see what is in it.
  const Kind = figures.constructor as new (length: number) => T;
  return wiredFigures(new Kind(figures.length), capture);
}

function wiredFigures<T extends Figures>(figures: T, capture: CaptureId): T {
  return new Proxy(figures, {
    get(target, key) {
      if (known.has(key)) return Reflect.get(target, key, target);
      if (key !== 'subarray') throw new Tripped(capture);
      return (from?: number, to?: number) => wiredFigures(target.subarray(from, to) as T, capture);
    },
  });
}

function wiredReading(reading: ColourReading): ColourReading {
  const trip = (): never => {
    throw new Tripped(reading.capture);
  };
  return Object.defineProperties(
    { ...reading },
    { X: { get: trip }, Y: { get: trip }, Z: { get: trip } },
  );
}
