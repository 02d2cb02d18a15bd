import type { RawCapture } from '../../../harness/bench/ports.ts';
import type { Wire } from '../../../harness/bench/rig.ts';
import type { Plant } from '../plant.ts';
import type { SampleBlock } from '../sample-block.ts';
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
  /** The converter looks at instants instead of means. */
  readonly point: boolean;
  readonly expectedPeak?: number | undefined;
  readonly error: CalibrationError;
  readonly noise: { readonly source: NoiseSource; readonly factor: number };
}

/** One input's record, made from the lamp's time line after the fact: codes and how to read them as volts. */
export function recordInput(plant: Plant, signal: SignalSource, setup: RecordSetup): RawCapture {
  const { wire, start, rate, samples, error, noise } = setup;
  const dt = 1 / (rate * (1 + error.timeBase));
  const source = fastEnough(plant, signal, setup, dt);
  const converter = new Converter(wire, {
    range: rangeFor(wire, setup.expectedPeak),
    dt,
    error,
    noise,
    filtered: source !== signal,
    blockLength,
  });
  const codes = codesFor(wire.bits, samples);
  const memory = new Float32Array(blockLength);
  const settled = settlingBlock({ samples: memory, t0: start, dt }, bandwidthOf(wire));
  if (settled.samples.length > 0) {
    source.fill(settled);
    converter.settle(settled);
  }
  for (let first = 0; first < samples; first += blockLength) {
    const count = Math.min(blockLength, samples - first);
    const block = { samples: memory.subarray(0, count), t0: start + first * dt, dt };
    source.fill(block);
    converter.convert(block, codes, first);
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
  signal: SignalSource,
  { wire, start, point }: RecordSetup,
  dt: number,
): SignalSource {
  if (!(signal instanceof GatedSource)) return signal;
  if (!point && dt >= shortestFeature(plant, start)) return signal;
  return new EdgeSource(plant, signal, { bandwidth: bandwidthOf(wire), point });
}

/** s: bit clock, switching period or edge, whichever is the longest that a sample must not be shorter than. */
function shortestFeature({ simulation, model }: Plant, at: number): number {
  let feature = 2 * Math.max(model.stage.riseTime, model.stage.fallTime);
  for (const { line } of simulation.outputs) {
    const [span] = line.spansFrom(at);
    if (span?.setup.kind === 'pulse-density') feature = Math.max(feature, 2 / span.pace);
  }
  for (const { cycle } of simulation.state.present.channels) {
    if (cycle && Number.isFinite(cycle.period)) feature = Math.max(feature, cycle.period);
  }
  return feature;
}

/** What came just before a record, on which the sensor's pole settles; empty at the lamp's beginning. */
function settlingBlock({ samples, t0, dt }: SampleBlock, bandwidth: number): SampleBlock {
  const wanted = Math.ceil(settling / (2 * Math.PI * bandwidth * dt));
  const count = Math.max(0, Math.min(wanted, longestSettling, Math.floor(t0 / dt)));
  return { samples: samples.subarray(0, count), t0: t0 - count * dt, dt };
}
