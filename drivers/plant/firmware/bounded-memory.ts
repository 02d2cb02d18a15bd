/** Bytes of a page of memory. Source: WebAssembly Core Specification 2.0, section 4.2.8. */
const page = 2 ** 16;
const memorySection = 5;

/** A build with a bound on its memory, or how many bytes it wants from the start. */
export type Bounded = { readonly bytes: Uint8Array } | { readonly wanted: number };

/**
 * The same WebAssembly module with no more memory to be had than `most` bytes: a build that states no bound of its own
 * could take 4 GiB of the machine before anybody looks. What is no sound module comes back as it is; compiling it says
 * what is wrong.
 * Source: WebAssembly Core Specification 2.0, sections 5.2.2 (LEB128), 5.3.5 (limits), 5.5.2 and 5.5.8 (sections).
 */
export function boundedMemory(bytes: Uint8Array, most: number): Bounded {
  const section = findSection(bytes, memorySection);
  const limits = section && readLimits(bytes, section);
  if (!section || !limits) return { bytes };
  if (limits.least * page > most) return { wanted: limits.least * page };
  const highest = Math.min(limits.most ?? Number.POSITIVE_INFINITY, Math.floor(most / page));
  const body = [1, limits.flags | 1, ...leb128(limits.least), ...leb128(highest)];
  const head = [memorySection, ...leb128(body.length), ...body];
  const before = bytes.subarray(0, section.from);
  const after = bytes.subarray(section.to);
  const bounded = new Uint8Array(before.length + head.length + after.length);
  bounded.set(before);
  bounded.set(head, before.length);
  bounded.set(after, before.length + head.length);
  return { bytes: bounded };
}

interface Section {
  /** Where its number stands. */
  readonly from: number;
  readonly body: number;
  readonly to: number;
}

function findSection(bytes: Uint8Array, wanted: number): Section | null {
  for (let from = 8; from < bytes.length; ) {
    const size = readLeb128(bytes, from + 1);
    if (!size || size.end + size.value > bytes.length) return null;
    const to = size.end + size.value;
    if (bytes[from] === wanted) return { from, body: size.end, to };
    from = to;
  }
  return null;
}

/** In pages. */
interface Limits {
  readonly flags: number;
  readonly least: number;
  readonly most: number | null;
}

/** Of the one memory of a section; null where there are more, or none, or kinds that are not known. */
function readLimits(bytes: Uint8Array, { body, to }: Section): Limits | null {
  const count = readLeb128(bytes, body);
  const flags = count?.value === 1 ? bytes[count.end] : undefined;
  if (!count || flags === undefined || flags > 1) return null;
  const least = readLeb128(bytes, count.end + 1);
  const most = least && flags === 1 ? readLeb128(bytes, least.end) : null;
  const end = most?.end ?? least?.end;
  if (!least || end !== to) return null;
  return { flags, least: least.value, most: most?.value ?? null };
}

/** An unsigned number of at most 32 bits. */
function readLeb128(bytes: Uint8Array, at: number): { value: number; end: number } | null {
  let value = 0;
  for (let k = 0; k < 5; k++) {
    const byte = bytes[at + k];
    if (byte === undefined) return null;
    value += (byte & 0x7f) * 2 ** (7 * k);
    if (byte < 0x80) return { value, end: at + k + 1 };
  }
  return null;
}

function leb128(value: number): number[] {
  const bytes: number[] = [];
  for (let rest = value; ; rest = Math.floor(rest / 128)) {
    if (rest < 128) return [...bytes, rest];
    bytes.push((rest % 128) | 0x80);
  }
}
