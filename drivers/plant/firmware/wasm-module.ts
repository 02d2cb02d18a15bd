import { numberAt } from './wasm-instructions.ts';
import { joined, leb128, sectionsOf } from './wasm-sections.ts';

const sectionNumber = {
  type: 1,
  import: 2,
  function: 3,
  memory: 5,
  global: 6,
  export: 7,
  code: 10,
} as const;
/** Order of the sections in a module. Source: WebAssembly Core Specification 2.0, section 5.5.16; tags from memory. */
const order = [1, 2, 3, 4, 5, 13, 6, 7, 8, 9, 12, 10, 11];

const functionType = 0x60;
const i32 = 0x7f;
/** Of an export. */
const kind = { function: 0, memory: 2, global: 3 } as const;

/** A function's body: where its local variables, its instructions and its end lie, and how many locals it has. */
export interface Body {
  readonly locals: number;
  readonly code: number;
  readonly to: number;
  /** Parameters and local variables: the number of the next one. */
  readonly variables: number;
}

/**
 * A valid WebAssembly module to which functions, globals and exports are added at the ends of their lists, so that no number in it
 * changes. Source: WebAssembly Core Specification 2.0, section 5.5.
 */
export class WasmModule {
  readonly bytes: Uint8Array;
  readonly #sections = new Map<number, Uint8Array>();
  readonly bodies: readonly Body[];
  /** Functions that it imports come first in the list of functions. */
  readonly imported: number;
  /** Of the first counter that is added. */
  readonly firstCounter: number;
  #counters = 0;

  constructor(bytes: Uint8Array) {
    this.bytes = bytes;
    for (const { number, body, to } of sectionsOf(bytes))
      if (number !== 0) this.#sections.set(number, bytes.subarray(body, to));
    this.imported = importedFunctions(this.#section('import'));
    this.firstCounter = this.#count('global');
    this.bodies = this.#readBodies();
  }

  /** Of the function of this number; undefined for one that it imports, or does not have. */
  bodyOf(functionNumber: number): Body | undefined {
    return this.bodies[functionNumber - this.imported];
  }

  /** A mutable global of 32 bit that begins with 0; its number, one more than that of the counter before. */
  addCounter(): number {
    return this.firstCounter + this.#counters++;
  }

  /**
   * Whether its first global is what the linker of LLVM makes of a stack pointer: a variable of 32 bit that begins at a multiple of 16
   * (common practice, no source).
   */
  get hasStackPointer(): boolean {
    const globals = this.#section('global');
    const [count, at] = numberAt(globals, 0);
    const isVariable = globals[at] === i32 && globals[at + 1] === 1 && globals[at + 2] === 0x41;
    const [top] = numberAt(globals, at + 3);
    return count > 0 && isVariable && top > 0 && top % 16 === 0;
  }

  /** A global, exported under `name`. */
  exportGlobal(name: string, number: number): void {
    this.#export(name, kind.global, number);
  }

  /** Its memory, exported under `name`; one page where it has none. */
  exportMemory(name: string): void {
    if (this.#count('memory') === 0) this.#append('memory', [1, 1, 1]);
    this.#export(name, kind.memory, 0);
  }

  /** A function (i32) -> () of these instructions, exported under `name`. Only after `replaceBodies`. */
  addFunction(name: string, code: readonly number[]): void {
    const type = this.#count('type');
    this.#append('type', [functionType, 1, i32, 0]);
    const number = this.nextFunction;
    this.#append('function', leb128(type));
    this.#append('code', withLength([0, ...code, 0x0b]));
    this.#export(name, kind.function, number);
  }

  /** Number of the function that is added next. */
  get nextFunction(): number {
    return this.imported + this.#count('function');
  }

  /** Other bodies for its functions, in their order: their local variables and instructions. */
  replaceBodies(bodies: readonly (readonly number[])[]): void {
    const parts = bodies.map((body) => Uint8Array.from(withLength(body)));
    this.#sections.set(
      sectionNumber.code,
      joined([Uint8Array.from(leb128(parts.length)), ...parts]),
    );
  }

  /** Of the rewritten module, without custom sections. */
  written(): Uint8Array {
    this.#append(
      'global',
      new Array<number[]>(this.#counters).fill([i32, 1, 0x41, 0, 0x0b]).flat(),
      this.#counters,
    );
    this.#counters = 0;
    const parts = order.flatMap((number) => {
      const body = this.#sections.get(number);
      return body ? [Uint8Array.of(number, ...leb128(body.length)), body] : [];
    });
    return joined([this.bytes.subarray(0, 8), ...parts]);
  }

  #section(name: keyof typeof sectionNumber): Uint8Array {
    return this.#sections.get(sectionNumber[name]) ?? Uint8Array.of(0);
  }

  #count(name: keyof typeof sectionNumber): number {
    return numberAt(this.#section(name), 0)[0];
  }

  #append(name: keyof typeof sectionNumber, items: readonly number[], more = 1): void {
    const section = this.#section(name);
    const [count, end] = numberAt(section, 0);
    const parts = [
      Uint8Array.from(leb128(count + more)),
      section.subarray(end),
      Uint8Array.from(items),
    ];
    this.#sections.set(sectionNumber[name], joined(parts));
  }

  #export(name: string, what: number, number: number): void {
    const text = [...new TextEncoder().encode(name)];
    this.#append('export', [...leb128(text.length), ...text, what, ...leb128(number)]);
  }

  #readBodies(): Body[] {
    const parameters = parametersOf(this.#section('type'));
    const functions = this.#section('function');
    const code = this.#section('code');
    const shift = code.byteOffset - this.bytes.byteOffset;
    const bodies: Body[] = [];
    let [count, at] = numberAt(code, 0);
    let next = numberAt(functions, 0)[1];
    for (; count > 0; count--) {
      const [type, afterType] = numberAt(functions, next);
      next = afterType;
      const [length, start] = numberAt(code, at);
      at = start + length;
      const { variables, end } = localsOf(code, start);
      bodies.push({
        locals: start + shift,
        code: end + shift,
        to: at + shift,
        variables: (parameters[type] ?? 0) + variables,
      });
    }
    return bodies;
  }
}

function withLength(body: readonly number[]): number[] {
  return [...leb128(body.length), ...body];
}

/** Local variables of a body at `start`, and where they end. */
function localsOf(code: Uint8Array, start: number): { variables: number; end: number } {
  let [groups, end] = numberAt(code, start);
  let variables = 0;
  for (; groups > 0; groups--) {
    const [count, afterCount] = numberAt(code, end);
    variables += count;
    end = afterCount + 1;
  }
  return { variables, end };
}

/** How many parameters each type of function has. */
function parametersOf(types: Uint8Array): number[] {
  const all: number[] = [];
  let [count, at] = numberAt(types, 0);
  for (; count > 0; count--) {
    if (types[at] !== functionType) throw new Error('it has types that are no functions');
    const [parameters, afterParameters] = numberAt(types, at + 1);
    const [results, afterResults] = numberAt(types, afterParameters + parameters);
    at = afterResults + results;
    all.push(parameters);
  }
  return all;
}

/** How many; a lamp's firmware imports nothing else (firmware-image.ts). */
function importedFunctions(imports: Uint8Array): number {
  const [functions, start] = numberAt(imports, 0);
  let [count, at] = [functions, start];
  for (; count > 0; count--) {
    for (let name = 0; name < 2; name++) {
      const [length, start] = numberAt(imports, at);
      at = start + length;
    }
    if (imports[at] !== 0) throw new Error('it imports more than functions');
    at = numberAt(imports, at + 1)[1];
  }
  return functions;
}
