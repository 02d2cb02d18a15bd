import { type Instruction, instructionsOf, numberAt } from '../wasm-instructions.ts';
import { type Body, WasmModule } from '../wasm-module.ts';
import { sectionsOf } from '../wasm-sections.ts';

/** Where an instruction lies in the code section of a build, and where its function begins there. */
export interface CodePlace {
  readonly offset: number;
  readonly start: number;
}

/** Source: WebAssembly Core Specification 2.0, sections 5.4 and 5.5.13. */
const codeSection = 10;
const opcode = {
  unreachable: 0x00,
  call: 0x10,
  callIndirect: 0x11,
  load: 0x28,
  prefix: 0xfc,
} as const;
const stores = { first: 0x36, last: 0x3e } as const;

/**
 * Where the instruction at `offset` of the module that runs lies in the build that it was made from. Rewriting adds instructions and
 * keeps all of the build's that call, or can trap: the n-th of a kind in a function stays the n-th of it, and where there are more or
 * fewer of a kind than before, nothing is said. Null where it cannot be told. Throws where a module is damaged.
 */
export function originalPlace(
  modules: { readonly build: Uint8Array; readonly running: Uint8Array },
  functionNumber: number,
  offset: number,
): CodePlace | null {
  const build = new WasmModule(modules.build);
  const running = new WasmModule(modules.running);
  const run = running.bodyOf(functionNumber);
  const own = build.bodyOf(inBuild(build, running)(functionNumber));
  if (!own || !run) return null;
  const before = markedIn(build.bytes, own);
  const now = markedIn(running.bytes, run, inBuild(build, running));
  const here = now.find(({ from }) => from === offset);
  const at = here && sameIn(before, now, here);
  return at ? inCodeSection(modules.build, at.from, own) : null;
}

/**
 * The same for every instruction of every function that can be told: pairs of the offset in the module that runs, and the place in the
 * build. Throws where a module is damaged.
 */
export function* originalPlaces(modules: {
  readonly build: Uint8Array;
  readonly running: Uint8Array;
}): Generator<readonly [offset: number, place: CodePlace]> {
  const build = new WasmModule(modules.build);
  const running = new WasmModule(modules.running);
  for (const [index, own] of build.bodies.entries()) {
    const run = running.bodies[index];
    if (!run) continue;
    const before = markedIn(build.bytes, own);
    const now = markedIn(running.bytes, run, inBuild(build, running));
    for (const here of now) {
      const at = sameIn(before, now, here);
      const place = at && inCodeSection(modules.build, at.from, own);
      if (place) yield [here.from, place];
    }
  }
}

/** The number in the build of a function of the module that runs: what a rewriting imports stands behind the build's imports. */
function inBuild(build: WasmModule, running: WasmModule): (number: number) => number {
  const more = running.imported - build.imported;
  return (number) => {
    if (number < build.imported) return number;
    return number < running.imported ? Number.NaN : number - more;
  };
}

interface Marked extends Instruction {
  readonly kind: string;
}

function sameIn(before: readonly Marked[], now: readonly Marked[], here: Marked): Marked | null {
  const alike = (all: readonly Marked[], kind = here.kind) =>
    all.filter((one) => one.kind === kind);
  const [then, still] = [alike(before), alike(now)];
  if (then.length !== still.length) return null;
  // Asyncify reads its frames in every function that it changes, and lets what has no other effect change places.
  const changed = alike(now, loads).length > alike(before, loads).length;
  if (changed && then.length > 1 && !keepsItsTurn(here)) return null;
  return then[still.indexOf(here)] ?? null;
}

const loads = String(opcode.load);

function keepsItsTurn({ opcode: code, flow }: Instruction): boolean {
  return flow === 'call' || code === opcode.unreachable || isStore(code);
}

function isStore(code: number): boolean {
  return code >= stores.first && code <= stores.last;
}

/** The instructions of a function that call, or can trap. */
function markedIn(bytes: Uint8Array, body: Body, numberOf = (number: number) => number): Marked[] {
  const marked: Marked[] = [];
  for (const instruction of instructionsOf(bytes, body.code, body.to)) {
    const kind = kindOf(bytes, instruction, numberOf);
    if (kind !== null) marked.push({ ...instruction, kind });
  }
  return marked;
}

/** Calls are of one kind with those of the same function; null for what neither calls nor traps. */
function kindOf(
  bytes: Uint8Array,
  { opcode: code, body }: Instruction,
  numberOf: (number: number) => number,
): string | null {
  if (code === opcode.call) return `call ${numberOf(numberAt(bytes, body)[0])}`;
  if (code === opcode.prefix) return `${code} ${numberAt(bytes, body)[0]}`;
  const memory = code >= opcode.load && code <= stores.last;
  const whole = (code >= 0x6d && code <= 0x70) || (code >= 0x7f && code <= 0x82);
  const truncated = (code >= 0xa8 && code <= 0xab) || (code >= 0xae && code <= 0xb1);
  const leaves = code === opcode.unreachable || code === opcode.callIndirect;
  return memory || whole || truncated || leaves ? String(code) : null;
}

function inCodeSection(build: Uint8Array, at: number, own: Body): CodePlace | null {
  const section = [...sectionsOf(build)].find(({ number }) => number === codeSection);
  return section ? { offset: at - section.body, start: own.locals - section.body } : null;
}
