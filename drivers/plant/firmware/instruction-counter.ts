import { addTo, constant } from './counter-code.ts';
import { type Flow, instructionsOf } from './wasm-instructions.ts';
import { type Body, WasmModule } from './wasm-module.ts';

/** The exported counter of a build that `countInstructions` rewrote: instructions carried out, modulo 2^32. */
export const instructionCounter = 'evenfall_instructions';

/** Marks of the structure, which no processor carries out. */
export const free: ReadonlySet<Flow> = new Set(['block', 'loop', 'else', 'end']);
/** What does not end a stretch of instructions that are carried out all or none, traps aside. */
export const inside: ReadonlySet<Flow> = new Set(['plain', 'call', 'block']);

/**
 * The same program, which counts the instructions that it carries out: stretch by stretch, in a global of its own.
 * What it computes, its memory and the numbers of its functions stay the same.
 */
export function countInstructions(bytes: Uint8Array): Uint8Array {
  const module = new WasmModule(bytes);
  const counter = module.addCounter();
  module.exportGlobal(instructionCounter, counter);
  module.replaceBodies(module.bodies.map((body) => counted(module.bytes, body, counter)));
  return module.written();
}

function counted(bytes: Uint8Array, body: Body, counter: number): number[] {
  const code = [...bytes.subarray(body.locals, body.code)];
  let from = body.code;
  let count = 0;
  for (const { flow, to } of instructionsOf(bytes, body.code, body.to)) {
    if (!free.has(flow)) count++;
    if (inside.has(flow)) continue;
    if (count > 0) code.push(...addTo(counter, constant(count)));
    for (let at = from; at < to; at++) code.push(bytes[at] ?? 0);
    from = to;
    count = 0;
  }
  return code;
}
