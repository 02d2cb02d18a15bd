import { joined, leb128, readLeb128, type Section, sectionsOf } from './wasm-sections.ts';

/** Bytes of a page of memory. Source: WebAssembly Core Specification 2.0, section 4.2.8. */
const page = 2 ** 16;
const memorySection = 5;

/** A build with a bound on its memory, or how many bytes it wants from the start. */
export type Bounded = { readonly bytes: Uint8Array } | { readonly wanted: number };

/**
 * The same WebAssembly module with no more memory to be had than `most` bytes: a build that states no bound of its own
 * could take 4 GiB of the machine before anybody looks. What is no sound module comes back as it is; compiling it says
 * what is wrong.
 * Source: WebAssembly Core Specification 2.0, sections 5.3.5 (limits) and 5.5.8 (memory section).
 */
export function boundedMemory(bytes: Uint8Array, most: number): Bounded {
  const section = [...sectionsOf(bytes)].find(({ number }) => number === memorySection);
  const limits = section && readLimits(bytes, section);
  if (!section || !limits) return { bytes };
  if (limits.least * page > most) return { wanted: limits.least * page };
  const highest = Math.min(limits.most ?? Number.POSITIVE_INFINITY, Math.floor(most / page));
  const body = [1, limits.flags | 1, ...leb128(limits.least), ...leb128(highest)];
  const head = Uint8Array.of(memorySection, ...leb128(body.length), ...body);
  return { bytes: joined([bytes.subarray(0, section.from), head, bytes.subarray(section.to)]) };
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
