import type { RawCapture } from '../../../harness/bench/ports.ts';
import type { Wire } from '../../../harness/bench/rig.ts';
import type { Plant } from '../plant.ts';
import type { CalibrationError } from './calibration-error.ts';
import { bandwidthOf, Converter, codesFor, rangeFor } from './converter.ts';
import { EdgeSource } from './edge-source.ts';
import { GatedSource } from './gated-source.ts';
import type { NoiseSource } from './noise-source.ts';
import type { SignalSource } from './signal-source.ts';

/** Samples worked on at a time: small enough to stay in the processor's cache. */
const blockLength = 8192;
/** Time constants of the sensor that the simulation looks back before a record, and samples at most. */
const settling = 8;
const longestSettling = 4096;

export interface RecordSetup {
  readonly wire: Wire;
  readonly start: number;
  readonly rate: number;
  readonly samples: number;
  readonly point: boolean;
  readonly expectedPeak?: number | undefined;
}

/** One input's record, made from the lamp's time line after the fact: codes and how to read them as volts. */
export function recordInput(
  plant: Plant,
  source: SignalSource,
  { wire, start, rate, samples, point, expectedPeak }: RecordSetup,
  error: CalibrationError,
  noise: { readonly source: NoiseSource; readonly factor: number },
): RawCapture {
  const dt = 1 / (rate * (1 + error.timeBase));
  const chosen = fastEnough(plant, source, wire, dt, start, point);
  const range = rangeFor(wire, expectedPeak);
  const filtered = chosen !== source;
  const converter = new Converter(wire, range, dt, error, noise, { filtered, blockLength });
  const codes = codesFor(wire.bits, samples);
  const block = new Float32Array(blockLength);
  settle(chosen, converter, block, start, dt, bandwidthOf(wire));
  for (let first = 0; first < samples; first += blockLength) {
    const count = Math.min(blockLength, samples - first);
    chosen.fill(block, count, start + first * dt, dt);
    converter.convert(block, count, codes, first);
  }
  return {
    input: wire.input,
    codes,
    scale: converter.step / wire.scale,
    offset: wire.offset,
    unit: 'V',
    lowest: converter.lowest,
    highest: converter.highest,
    rate,
    start,
  };
}

/** Edge by edge where the record could see single edges or switching cycles, or looks at instants; on average otherwise. */
function fastEnough(
  plant: Plant,
  source: SignalSource,
  wire: Wire,
  dt: number,
  start: number,
  point: boolean,
): SignalSource {
  if (!(source instanceof GatedSource)) return source;
  if (!point && dt >= shortestFeature(plant, start)) return source;
  return new EdgeSource(plant, source, { bandwidth: bandwidthOf(wire), point });
}

/** s: bit clock, switching period or edge, whichever is the longest that a sample must not be shorter than. */
function shortestFeature({ simulation, model }: Plant, at: number): number {
  let feature = 2 * Math.max(model.stage.riseTime, model.stage.fallTime);
  for (const line of simulation.lines) {
    const span = line.spans[Math.max(0, line.spanAt(at))];
    if (span?.setup.kind === 'pulse-density') feature = Math.max(feature, 2 / span.pace);
  }
  for (const { cycle } of simulation.state.present.channels) {
    if (cycle && Number.isFinite(cycle.period)) feature = Math.max(feature, cycle.period);
  }
  return feature;
}

/** Lets the sensor's pole settle on what came before the record. */
function settle(
  source: SignalSource,
  converter: Converter,
  block: Float32Array,
  start: number,
  dt: number,
  bandwidth: number,
): void {
  const wanted = Math.ceil(settling / (2 * Math.PI * bandwidth * dt));
  const count = Math.min(wanted, longestSettling, Math.floor(start / dt));
  if (count <= 0) return;
  source.fill(block, count, start - count * dt, dt);
  converter.settle(block, count);
}
