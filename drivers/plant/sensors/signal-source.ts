import type { SampleBlock } from '../sample-block.ts';

/** A signal before its sensor. */
export interface SignalSource {
  /** Fills a block with the signal's mean over each sample, in the unit of the wire: lx, A or V. Blocks come in order of time. */
  fill(block: SampleBlock): void;
}
