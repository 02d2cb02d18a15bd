/** What a small hand-made module does. Instructions are bytes of the WebAssembly binary format, without their `end`. */
export interface HandMade {
  /** Pages of 64 KiB at the start. */
  readonly pages?: number;
  /** Instructions of a start function. */
  readonly start?: readonly number[];
  /** Instructions of lamp_init. */
  readonly init?: readonly number[];
}

/** `loop br 0 end`: for ever. */
export const forEver = [0x03, 0x40, 0x0c, 0x00, 0x0b];
/** Takes page after page until there is none. */
export const takeAll = [0x03, 0x40, 0x41, 1, 0x40, 0x00, 0x41, 0x7f, 0x47, 0x0d, 0x00, 0x0b];
/** `unreachable` */
export const trap = [0x00];

/**
 * A WebAssembly module that no compiler would write, with lamp_init and lamp_tick.
 * Source: WebAssembly Core Specification 2.0, section 5 (binary format).
 */
export function handMadeModule({ pages = 1, start, init = [] }: HandMade): Uint8Array {
  const bodies = [init, [0x41, 0], ...(start ? [start] : [])];
  const sections = [
    // Types: () -> (), () -> i32.
    section(1, [2, 0x60, 0, 0, 0x60, 0, 1, 0x7f]),
    section(3, [bodies.length, 0, 1, ...(start ? [0] : [])]),
    section(5, [1, 0, ...leb128(pages)]),
    section(7, [
      3,
      ...named('lamp_init', 0, 0),
      ...named('lamp_tick', 0, 1),
      ...named('memory', 2, 0),
    ]),
    ...(start ? [section(8, [2])] : []),
    section(10, [bodies.length, ...bodies.flatMap((body) => [body.length + 2, 0, ...body, 0x0b])]),
  ];
  return Uint8Array.from([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0, ...sections.flat()]);
}

function section(number: number, body: readonly number[]): readonly number[] {
  return [number, ...leb128(body.length), ...body];
}

/** `kind` 0 is a function, 2 a memory. */
function named(name: string, kind: number, index: number): readonly number[] {
  return [name.length, ...new TextEncoder().encode(name), kind, index];
}

function leb128(value: number): number[] {
  return value < 128 ? [value] : [(value % 128) | 0x80, ...leb128(Math.floor(value / 128))];
}
