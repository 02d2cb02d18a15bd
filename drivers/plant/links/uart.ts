/** What a serial receiver makes of a line: bytes, and where a stop bit was not there. */
export interface ReceivedByte {
  readonly byte: number;
  /** Its stop bit was low. */
  readonly framingError: boolean;
  /** When it is over by the receiver's clock, s from the start of the first byte. */
  readonly at: number;
}

/** A sender's line: s a bit, and stop bits of each byte. */
export interface SerialLine {
  readonly bitTime: number;
  readonly stopBits: 1 | 2;
}

const dataBits = 8;

/**
 * Bytes that follow one another without a gap, as a receiver sees them whose clock runs `rate` times as fast as the sender's: it begins at a
 * falling edge and looks at the middle of each bit, by its own clock, up to the first stop bit. After a stop bit that is low it waits for the
 * line to be high. Common practice of receivers (their oversampling left out), no source.
 */
export function receivedBytes(
  bytes: ArrayLike<number>,
  { bitTime, stopBits }: SerialLine,
  rate: number,
): ReceivedByte[] {
  const length = 1 + dataBits + stopBits;
  const isHigh = (bit: number): boolean => {
    const place = bit % length;
    if (bit < 0 || bit >= bytes.length * length || place > dataBits) return true;
    return place > 0 && (((bytes[Math.floor(bit / length)] ?? 0) >> (place - 1)) & 1) === 1;
  };
  const end = bytes.length * length;
  const received: ReceivedByte[] = [];
  for (let from = 0; ; ) {
    const edge = fallingEdge(isHigh, from, end);
    if (edge === null) return received;
    const sampled = (place: number) => isHigh(Math.floor(edge + (place + 0.5) / rate));
    let byte = 0;
    for (let bit = 0; bit < dataBits; bit++) if (sampled(1 + bit)) byte |= 1 << bit;
    const framingError = !sampled(1 + dataBits);
    const at = (edge + length / rate) * bitTime;
    received.push({ byte, framingError, at });
    // It is ready in the middle of the stop bit.
    from = Math.floor(edge + (1 + dataBits + 0.5) / rate);
    if (framingError) while (!isHigh(from)) from++;
  }
}

/** The first bit from `from` on that is low behind a high one. */
function fallingEdge(isHigh: (bit: number) => boolean, from: number, end: number): number | null {
  for (let bit = from; bit < end; bit++) if (!isHigh(bit) && isHigh(bit - 1)) return bit;
  return null;
}
