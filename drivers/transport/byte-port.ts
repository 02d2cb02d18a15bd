/** Who is told what arrives at a port. */
export interface ByteListener {
  data(bytes: Uint8Array): void;
  /** The port is gone and will not come back: told once, also after `close`. */
  gone(why: Error): void;
}

/**
 * A way for bytes in both directions: a TCP connection or a serial line.
 * - `write` resolves when the bytes were handed to the system, and rejects when the port is gone, also when it goes
 *   while the write is pending.
 * - `close` is idempotent and never rejects; what is pending rejects.
 */
export interface BytePort {
  readonly address: string;
  listen(listener: ByteListener): void;
  write(bytes: Uint8Array): Promise<void>;
  close(): Promise<void>;
}
