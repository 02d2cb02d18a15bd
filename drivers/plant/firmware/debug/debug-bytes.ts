/** Debug information that is cut off, or speaks a version that is not known. It never keeps a build from running. */
export class DebugInfoError extends Error {
  override readonly name = 'DebugInfoError';
}

/**
 * Numbers and texts of debug information, one after another, little endian. Reading beyond the end throws DebugInfoError.
 * Source of the encodings: DWARF 5, section 7 (variable length: 7.6; lengths and offsets: 7.4), from memory.
 */
export class DebugBytes {
  readonly #bytes: Uint8Array;
  readonly #view: DataView;
  at: number;
  readonly end: number;

  constructor(bytes: Uint8Array, at = 0, end = bytes.length) {
    if (at > end || end > bytes.length) throw new DebugInfoError('it points beyond its end');
    this.#bytes = bytes;
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    this.at = at;
    this.end = end;
  }

  get more(): boolean {
    return this.at < this.end;
  }

  unsigned(size: number): number {
    const at = this.#take(size);
    if (size === 1) return this.#view.getUint8(at);
    if (size === 2) return this.#view.getUint16(at, true);
    if (size === 3) return this.#view.getUint16(at, true) + this.#view.getUint8(at + 2) * 2 ** 16;
    if (size === 4) return this.#view.getUint32(at, true);
    if (size === 8) return Number(this.#view.getBigUint64(at, true));
    throw new DebugInfoError(`it has numbers of ${size} bytes`);
  }

  signedByte(): number {
    return this.#view.getInt8(this.#take(1));
  }

  /** Unsigned, of variable length. */
  uleb(): number {
    let value = 0;
    for (let k = 0; ; k++) {
      const byte = this.unsigned(1);
      value += (byte & 0x7f) * 2 ** (7 * k);
      if (byte < 0x80) return value;
    }
  }

  /** Signed, of variable length. */
  sleb(): number {
    let value = 0;
    for (let k = 0; ; k++) {
      const byte = this.unsigned(1);
      value += (byte & 0x7f) * 2 ** (7 * k);
      if (byte < 0x80) return byte & 0x40 ? value - 2 ** (7 * (k + 1)) : value;
    }
  }

  /** Up to its zero byte. */
  text(): string {
    const zero = this.#bytes.indexOf(0, this.at);
    if (zero < 0 || zero >= this.end) throw new DebugInfoError('a text has no end');
    const text = new TextDecoder().decode(this.#bytes.subarray(this.at, zero));
    this.at = zero + 1;
    return text;
  }

  /** The same, ending earlier. */
  upTo(end: number): DebugBytes {
    return new DebugBytes(this.#bytes, this.at, end);
  }

  skip(count: number): void {
    this.#take(count);
  }

  /** The unit that begins here: what follows its length, and how many bytes an offset has in it. Goes on behind it. */
  unit(): { body: DebugBytes; offsetSize: number } {
    const first = this.unsigned(4);
    const wide = first === 0xffff_ffff;
    const length = wide ? this.unsigned(8) : first;
    const from = this.#take(length);
    return {
      body: new DebugBytes(this.#bytes, from, from + length),
      offsetSize: wide ? 8 : 4,
    };
  }

  #take(count: number): number {
    const from = this.at;
    if (!(count >= 0 && count <= this.end - from)) throw new DebugInfoError('it is cut off');
    this.at = from + count;
    return from;
  }
}
