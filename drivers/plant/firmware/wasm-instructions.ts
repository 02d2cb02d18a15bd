/** What an instruction does to the flow of a function, as far as a rewriting has to know. */
export type Flow =
  | 'plain'
  | 'block'
  | 'loop'
  | 'if'
  | 'else'
  | 'end'
  | 'branch-if'
  | 'branch-table'
  | 'call'
  | 'leave';

/** An instruction of a function's body: its bytes, with its immediates. */
export interface Instruction {
  readonly opcode: number;
  readonly flow: Flow;
  readonly from: number;
  /** Behind its opcode. */
  readonly body: number;
  readonly to: number;
}

type Skip = (bytes: Uint8Array, at: number) => number;

const none: Skip = (_, at) => at;
const fixed =
  (length: number): Skip =>
  (_, at) =>
    at + length;

/** A number of variable length, signed or not. */
const leb: Skip = (bytes, at) => {
  let end = at;
  while ((bytes[end] ?? 0) >= 0x80) end++;
  return end + 1;
};
const lebs =
  (count: number): Skip =>
  (bytes, at) => {
    let end = at;
    for (let k = 0; k < count; k++) end = leb(bytes, end);
    return end;
  };

/** A vector, after its length of one number of variable length; and `more` behind it. */
const vector =
  (item: Skip, more: Skip): Skip =>
  (bytes, at) => {
    let [count, end] = numberAt(bytes, at);
    for (; count > 0; count--) end = item(bytes, end);
    return more(bytes, end);
  };

/** An unsigned number and where it ends. */
export function numberAt(bytes: Uint8Array, at: number): [value: number, end: number] {
  let value = 0;
  for (let k = 0, end = at; ; k++, end++) {
    const byte = bytes[end] ?? 0;
    value += (byte & 0x7f) * 2 ** (7 * k);
    if (byte < 0x80) return [value, end + 1];
  }
}

const memoryArgument = lebs(2);

/** Immediates of the instructions that have any. Source: WebAssembly Core Specification 2.0, section 5.4; atomics and exceptions: their proposals, from memory. */
const immediates = new Map<number, Skip>([
  ...[0x02, 0x03, 0x04, 0x06, 0x07, 0x08, 0x09, 0x0c, 0x0d, 0x10, 0x12, 0x18].map(one(leb)),
  ...[0x20, 0x21, 0x22, 0x23, 0x24, 0x25, 0x26, 0x3f, 0x40, 0x41, 0x42].map(one(leb)),
  ...[0xd0, 0xd2].map(one(leb)),
  ...[0x11, 0x13].map(one(lebs(2))),
  [0x0e, vector(leb, leb)],
  [0x1c, vector(fixed(1), none)],
  [0x43, fixed(4)],
  [0x44, fixed(8)],
  ...range(0x28, 0x3e).map(one(memoryArgument)),
  [0xfc, prefixed((sub) => (sub < 8 ? none : lebs([8, 10, 12, 14].includes(sub) ? 2 : 1)))],
  [0xfd, prefixed(vectorImmediates)],
  [0xfe, prefixed((sub) => (sub === 3 ? fixed(1) : memoryArgument))],
]);

/** Of the instructions on vectors of 128 bit. */
function vectorImmediates(sub: number): Skip {
  if (sub <= 11 || sub === 92 || sub === 93) return memoryArgument;
  if (sub === 12 || sub === 13) return fixed(16);
  if (sub >= 21 && sub <= 34) return fixed(1);
  if (sub >= 84 && sub <= 91) return (bytes, at) => memoryArgument(bytes, at) + 1;
  return none;
}

function prefixed(of: (sub: number) => Skip): Skip {
  return (bytes, at) => {
    const [sub, end] = numberAt(bytes, at);
    return of(sub)(bytes, end);
  };
}

function one(skip: Skip): (opcode: number) => [number, Skip] {
  return (opcode) => [opcode, skip];
}

function range(from: number, to: number): number[] {
  return Array.from({ length: to - from + 1 }, (_, k) => from + k);
}

const flows: ReadonlyMap<number, Flow> = new Map<number, Flow>([
  [0x02, 'block'],
  [0x06, 'block'],
  [0x03, 'loop'],
  [0x04, 'if'],
  [0x05, 'else'],
  // Catch and catch_all begin another way through their try, delegate ends it.
  [0x07, 'else'],
  [0x19, 'else'],
  [0x0b, 'end'],
  [0x18, 'end'],
  [0x0d, 'branch-if'],
  [0x0e, 'branch-table'],
  [0x10, 'call'],
  [0x11, 'call'],
  [0x00, 'leave'],
  [0x08, 'leave'],
  [0x09, 'leave'],
  [0x0c, 'leave'],
  [0x0f, 'leave'],
  [0x12, 'leave'],
  [0x13, 'leave'],
]);

/** The instructions from `from` to `to`, which are those of a valid module. */
export function* instructionsOf(
  bytes: Uint8Array,
  from: number,
  to: number,
): Generator<Instruction> {
  for (let at = from; at < to; ) {
    const opcode = bytes[at] ?? 0;
    const body = at + 1;
    const end = (immediates.get(opcode) ?? none)(bytes, body);
    yield { opcode, flow: flows.get(opcode) ?? 'plain', from: at, body, to: end };
    at = end;
  }
}
