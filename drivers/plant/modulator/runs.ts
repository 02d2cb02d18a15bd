/**
 * Adds runs of one register value to the samples of a block, one after another. A fade writes a run each millisecond
 * and channel, so that what a run costs beside its samples counts: figures of a run are fields, since fractions passed
 * as arguments are allocated.
 */
export abstract class Runs {
  /** Positions within the run of the first sample's start, and of the run's end. */
  zero = 0;
  length = 0;
  protected readonly samples: Float32Array;
  /** Positions per sample. */
  protected readonly perSample: number;

  constructor(samples: Float32Array, perSample: number) {
    this.samples = samples;
    this.perSample = perSample;
  }

  /** Adds the run of `value` that begins with the accumulator at `phase`. */
  abstract add(value: number, phase: number): void;

  /** Number of samples that end within the run, held to the block. */
  protected wholeSamples(): number {
    return Math.min(this.samples.length, Math.floor((this.length - this.zero) / this.perSample));
  }

  protected addTo(k: number, amount: number): void {
    const { samples } = this;
    samples[k] = (samples[k] ?? 0) + amount;
  }
}
