import { leb128 } from './wasm-sections.ts';

/** The exported global up to which a rewritten build may count its instructions before it pauses. */
export const instructionDeadline = 'evenfall_deadline';
/** The exported stack pointer of a rewritten build that has one. */
export const stackPointer = 'evenfall_stack_pointer';
/** Bytes below it that a function which calls none may use without moving it. Source: LLVM, WebAssemblyFrameLowering, from memory. */
export const redZone = 128;
/** What it calls to pause. */
export const pauseFunction = 'evenfall_pause';

/** Opcodes. Source: WebAssembly Core Specification 2.0, section 5.4. */
const op = {
  if: 0x04,
  call: 0x10,
  localGet: 0x20,
  localSet: 0x21,
  localTee: 0x22,
  globalGet: 0x23,
  load64: 0x29,
  load64From32: 0x35,
  store64: 0x37,
  store64As32: 0x3e,
  const32: 0x41,
  const64: 0x42,
  ge: 0x4e,
  sub: 0x6b,
  or64: 0x84,
  shl64: 0x86,
  shr64: 0x88,
  end: 0x0b,
} as const;
const [nothing, i32, i64] = [0x40, 0x7f, 0x7e];
/** Bits of a word of the core whose firmware is simulated. */
const word = 32;
const wordBytes = 4;

/** What a rewritten build needs to pause: numbers of its globals and of the function. */
export interface Pausing {
  readonly counter: number;
  readonly deadline: number;
  readonly pause: number;
}

/** Instructions that pause where the deadline is reached. They leave the stack as it is. */
export function pausePoint({ counter, deadline, pause }: Pausing): number[] {
  const reached = [op.globalGet, ...leb128(counter), op.globalGet, ...leb128(deadline), op.sub];
  const call = [op.const32, 0, op.call, ...leb128(pause)];
  return [...reached, op.const32, 0, op.ge, op.if, nothing, ...call, op.end];
}

/** Whether an instruction reads or writes memory (some of these prefixes only compute: that costs a point and nothing else). */
export function touchesMemory(opcode: number): boolean {
  return (opcode >= 0x28 && opcode <= 0x3e) || (opcode >= 0xfc && opcode <= 0xfe);
}

/** One local variable of 32 bit and one of 64 more than a body has, which are numbered from `first`. */
export const twoWordLocals = { count: 2, declared: [1, i32, 1, i64] } as const;

/**
 * The same access in two, with `between` in the middle, as a core of 32 bit has to make it; null for an access of up to 32 bit.
 * `alignment` and `offset` of its immediates; `first` is the number of the first of `twoWordLocals`.
 */
export function inTwoWords(
  opcode: number,
  { offset, first }: { readonly offset: number; readonly first: number },
  between: readonly number[],
): number[] | null {
  const at = (own: number, place: number): number[] => [own, 0, ...leb128(place)];
  const [address, value] = [leb128(first), leb128(first + 1)];
  const high = offset + wordBytes;
  if (opcode === op.load64)
    return [
      ...[op.localTee, ...address, ...at(op.load64From32, offset)],
      ...between,
      ...[op.localGet, ...address, ...at(op.load64From32, high)],
      ...[op.const64, word, op.shl64, op.or64],
    ];
  if (opcode === op.store64)
    return [
      ...[op.localSet, ...value, op.localTee, ...address],
      ...[op.localGet, ...value, ...at(op.store64As32, offset)],
      ...between,
      ...[op.localGet, ...address, op.localGet, ...value, op.const64, word, op.shr64],
      ...at(op.store64As32, high),
    ];
  return null;
}
