/** A field of an sACN data packet: its first byte, from 0, and its length. */
interface FieldPlace {
  readonly at: number;
  readonly size: 1 | 2 | 4;
}

/** Fields of a data packet by name, in their order (ANSI E1.31-2018 tables 4-1 to 4-3; offsets from memory). */
export const sacnFields = {
  preamble: { at: 0, size: 2 },
  'post-amble': { at: 2, size: 2 },
  identifier: { at: 4, size: 4 },
  'root-length': { at: 16, size: 2 },
  'root-vector': { at: 18, size: 4 },
  'framing-length': { at: 38, size: 2 },
  'framing-vector': { at: 40, size: 4 },
  priority: { at: 108, size: 1 },
  'sync-address': { at: 109, size: 2 },
  sequence: { at: 111, size: 1 },
  options: { at: 112, size: 1 },
  universe: { at: 113, size: 2 },
  'property-length': { at: 115, size: 2 },
  'property-vector': { at: 117, size: 1 },
  'address-type': { at: 118, size: 1 },
  'first-address': { at: 119, size: 2 },
  'address-increment': { at: 121, size: 2 },
  'property-count': { at: 123, size: 2 },
  'start-code': { at: 125, size: 1 },
} as const satisfies Readonly<Record<string, FieldPlace>>;

export type SacnField = keyof typeof sacnFields;

export const sacnFieldNames = Object.keys(sacnFields) as readonly SacnField[];
