import { readLeb128, type Section, sectionsOf } from './wasm-sections.ts';

const customSection = 0;
/** Of the name section: names of functions by their numbers. */
const functionNames = 1;

/**
 * What a build calls its functions, by their numbers; empty where it was linked without names. What is damaged is left out: names never
 * keep a build from running. Source: WebAssembly Core Specification 2.0, section 7.4.1.
 */
export function functionNamesOf(bytes: Uint8Array): ReadonlyMap<number, string> {
  for (const section of sectionsOf(bytes)) {
    if (section.number !== customSection) continue;
    const [name, at] = textAt(bytes, section.body, section.to) ?? [];
    if (name === 'name' && at !== undefined) return namesIn(bytes, { ...section, body: at });
  }
  return new Map();
}

function namesIn(bytes: Uint8Array, { body, to }: Section): ReadonlyMap<number, string> {
  const names = new Map<number, string>();
  for (let at = body; at < to; ) {
    const size = readLeb128(bytes, at + 1);
    if (!size) break;
    const end = size.end + size.value;
    if (bytes[at] === functionNames) readNames(bytes, size.end, Math.min(end, to), names);
    at = end;
  }
  return names;
}

function readNames(bytes: Uint8Array, from: number, to: number, names: Map<number, string>): void {
  const count = readLeb128(bytes, from);
  let at = count?.end ?? to;
  for (let left = count?.value ?? 0; left > 0 && at < to; left--) {
    const number = readLeb128(bytes, at);
    const [name, end] = (number && textAt(bytes, number.end, to)) ?? [];
    if (!number || name === undefined || end === undefined) return;
    names.set(number.value, name);
    at = end;
  }
}

function textAt(bytes: Uint8Array, at: number, to: number): [text: string, end: number] | null {
  const length = readLeb128(bytes, at);
  if (!length || length.end + length.value > to) return null;
  const end = length.end + length.value;
  return [new TextDecoder().decode(bytes.subarray(length.end, end)), end];
}
