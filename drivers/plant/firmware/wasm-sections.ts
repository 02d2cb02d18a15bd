/** A section of a WebAssembly module: where its number, its body and what follows it stand. */
export interface Section {
  readonly number: number;
  readonly from: number;
  readonly body: number;
  readonly to: number;
}

const customSection = 0;

/**
 * The sections of a module in order; fewer where it is damaged.
 * Source: WebAssembly Core Specification 2.0, section 5.5.2.
 */
export function* sectionsOf(bytes: Uint8Array): Generator<Section> {
  for (let from = 8; from < bytes.length; ) {
    const size = readLeb128(bytes, from + 1);
    if (!size || size.end + size.value > bytes.length) return;
    const to = size.end + size.value;
    yield { number: bytes[from] ?? customSection, from, body: size.end, to };
    from = to;
  }
}

/** The same module without names, debug information and whatever else its tools noted in it. */
export function withoutCustomSections(bytes: Uint8Array): Uint8Array {
  const kept = [...sectionsOf(bytes)].filter(({ number }) => number !== customSection);
  return joined([bytes.subarray(0, 8), ...kept.map(({ from, to }) => bytes.subarray(from, to))]);
}

export function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** An unsigned number of at most 32 bits. Source: section 5.2.2. */
export function readLeb128(bytes: Uint8Array, at: number): { value: number; end: number } | null {
  let value = 0;
  for (let k = 0; k < 5; k++) {
    const byte = bytes[at + k];
    if (byte === undefined) return null;
    value += (byte & 0x7f) * 2 ** (7 * k);
    if (byte < 0x80) return { value, end: at + k + 1 };
  }
  return null;
}

export function leb128(value: number): number[] {
  const bytes: number[] = [];
  for (let rest = value; ; rest = Math.floor(rest / 128)) {
    if (rest < 128) return [...bytes, rest];
    bytes.push((rest % 128) | 0x80);
  }
}
