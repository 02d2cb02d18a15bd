import { leb128 } from './wasm-sections.ts';

/** Opcodes. Source: WebAssembly Core Specification 2.0, section 5.4. */
const op = { globalGet: 0x23, globalSet: 0x24, const: 0x41, add: 0x6a } as const;

/** Instructions that add what `what` leaves on the stack to a counter. */
export function addTo(counter: number, what: readonly number[]): number[] {
  const number = leb128(counter);
  return [op.globalGet, ...number, ...what, op.add, op.globalSet, ...number];
}

/** Instruction that leaves a number of at least 0 on the stack. */
export function constant(value: number): number[] {
  const bytes = leb128(value);
  const last = bytes.at(-1) ?? 0;
  // As a signed number: its highest bit is the sign.
  return [op.const, ...(last < 0x40 ? bytes : [...bytes.slice(0, -1), last | 0x80, 0])];
}
