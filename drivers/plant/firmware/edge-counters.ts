import { addTo, constant } from './counter-code.ts';
import { type Instruction, instructionsOf, numberAt } from './wasm-instructions.ts';
import { type Body, WasmModule } from './wasm-module.ts';
import { leb128 } from './wasm-sections.ts';

/** Writes the counters, each as a byte that stops at 255, into memory from the address that it is called with. */
export const tellEdges = 'evenfall_tell_edges';
/** The memory that they are written into. */
export const edgeMemory = 'evenfall_edge_memory';

/** Opcodes. Source: WebAssembly Core Specification 2.0, section 5.4. */
const op = {
  else: 0x05,
  select: 0x1b,
  localGet: 0x20,
  localTee: 0x22,
  globalGet: 0x23,
  store8: 0x3a,
  const: 0x41,
  eqz: 0x45,
  eq: 0x46,
  ltU: 0x49,
  geU: 0x4f,
} as const;
const i32 = 0x7f;

/** Where a function may go: into it, into a loop, either way of an if or br_if, each target of a br_table. */
type EdgeKind = 'entry' | 'loop' | 'then' | 'else' | 'taken' | 'passed' | 'case';

/** An edge of the program: the function of the build, counted from its first own one, and what it is. */
export interface Edge {
  readonly function: number;
  readonly kind: EdgeKind;
}

/**
 * A build with a counter on every edge of its control flow. The counters are globals of their own: the program's memory
 * and the numbers of its functions stay as they are, and so does what it computes.
 */
export function countEdges(bytes: Uint8Array): { bytes: Uint8Array; edges: readonly Edge[] } {
  const module = new WasmModule(bytes);
  const edges: Edge[] = [];
  const counters: number[] = [];
  const bodies = module.bodies.map((body, index) => {
    const counter = (kind: EdgeKind): number => {
      edges.push({ function: index, kind });
      const number = module.addCounter();
      counters.push(number);
      return number;
    };
    return counted(module.bytes, body, counter);
  });
  module.replaceBodies(bodies);
  module.exportMemory(edgeMemory);
  module.addFunction(tellEdges, counters.flatMap(storeCounter));
  return { bytes: module.written(), edges };
}

/** memory[address + index] = min(counter, 255), unsigned. */
function storeCounter(counter: number, index: number): number[] {
  const read = [op.globalGet, ...leb128(counter)];
  const most = [op.const, 0xff, 0x01];
  const least = [...read, ...most, ...read, ...most, op.ltU, op.select];
  return [op.localGet, 0, ...least, op.store8, 0, ...leb128(index)];
}

/** The body of a function with counters, and one more local variable for the conditions of its branches. */
function counted(bytes: Uint8Array, body: Body, counter: (kind: EdgeKind) => number): number[] {
  const scratch = leb128(body.variables);
  const code = [...withOneMoreLocal(bytes, body), ...addTo(counter('entry'), constant(1))];
  /** Of the blocks that are open: whether it is an if that has had no else so far. */
  const open: boolean[] = [];
  for (const instruction of instructionsOf(bytes, body.code, body.to)) {
    const { flow, from, to } = instruction;
    const own = bytes.subarray(from, to);
    if (flow === 'end' && open.pop()) code.push(op.else, ...addTo(counter('else'), constant(1)));
    if (flow === 'branch-if') {
      const taken = [op.localGet, ...scratch, op.eqz, op.eqz];
      code.push(op.localTee, ...scratch, ...addTo(counter('taken'), taken));
    }
    if (flow === 'branch-table')
      code.push(op.localTee, ...scratch, ...cases(bytes, instruction, scratch, counter));
    for (const byte of own) code.push(byte);
    if (flow === 'branch-if') code.push(...addTo(counter('passed'), constant(1)));
    if (flow === 'block' || flow === 'loop' || flow === 'if') open.push(flow === 'if');
    if (flow === 'loop') code.push(...addTo(counter('loop'), constant(1)));
    if (flow === 'if') code.push(...addTo(counter('then'), constant(1)));
    if (flow === 'else') {
      open[open.length - 1] = false;
      code.push(...addTo(counter('else'), constant(1)));
    }
  }
  return code;
}

/** A counter for each target of a br_table; the last is for every number beyond. */
function cases(
  bytes: Uint8Array,
  { body }: Instruction,
  scratch: readonly number[],
  counter: (kind: EdgeKind) => number,
): number[] {
  const [targets] = numberAt(bytes, body);
  const code: number[] = [];
  for (let target = 0; target <= targets; target++) {
    const compare = target < targets ? op.eq : op.geU;
    const here = [op.localGet, ...scratch, ...constant(target), compare];
    code.push(...addTo(counter('case'), here));
  }
  return code;
}

function withOneMoreLocal(bytes: Uint8Array, { locals, code }: Body): number[] {
  const [groups, end] = numberAt(bytes, locals);
  return [...leb128(groups + 1), ...bytes.subarray(end, code), 1, i32];
}
