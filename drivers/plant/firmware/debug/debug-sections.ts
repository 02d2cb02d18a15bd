import { readLeb128, sectionsOf } from '../wasm-sections.ts';
import { DebugBytes } from './debug-bytes.ts';

const customSection = 0;
const prefix = '.debug_';

/** The sections of a build's debug information by name, without `.debug_`. */
export type DebugSections = ReadonlyMap<string, Uint8Array>;

/**
 * Empty where the build has none. Source: WebAssembly Core Specification 2.0, section 7.4; that DWARF sits in custom sections of its
 * sections' names: "DWARF for WebAssembly", from memory.
 */
export function debugSectionsOf(bytes: Uint8Array): DebugSections {
  const sections = new Map<string, Uint8Array>();
  for (const { number, body, to } of sectionsOf(bytes)) {
    if (number !== customSection) continue;
    const length = readLeb128(bytes, body);
    const end = length ? length.end + length.value : to + 1;
    if (!length || end > to) continue;
    const name = new TextDecoder().decode(bytes.subarray(length.end, end));
    if (name.startsWith(prefix)) sections.set(name.slice(prefix.length), bytes.subarray(end, to));
  }
  return sections;
}

/** A section from an offset on; throws DebugInfoError where it does not reach so far. */
export function debugBytes(sections: DebugSections, name: string, at = 0): DebugBytes {
  return new DebugBytes(sections.get(name) ?? new Uint8Array(), at);
}
