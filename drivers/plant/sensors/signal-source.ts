/** A signal before its sensor: fills blocks with its mean over each sample, block after block in order of time. */
export interface SignalSource {
  /** Unit of the wire: lx, A or V. */
  fill(block: Float32Array, count: number, t0: number, dt: number): void;
}
