import { addTo, constant } from './counter-code.ts';
import { free, inside, instructionCounter } from './instruction-counter.ts';
import {
  instructionDeadline,
  inTwoWords,
  type Pausing,
  pauseFunction,
  pausePoint,
  stackPointer,
  touchesMemory,
  twoWordLocals,
} from './preemption-points.ts';
import { type Instruction, instructionsOf, numberAt } from './wasm-instructions.ts';
import { type Body, WasmModule } from './wasm-module.ts';
import { leb128 } from './wasm-sections.ts';

/**
 * The same program, which counts the instructions that it carries out, and calls a function of its own, exported as `evenfall_pause`,
 * where the count has reached the exported deadline: before each access to memory, between the words of one of 64 bit, before each
 * call and at the head of each loop. What it computes, its memory and the numbers of its functions stay the same.
 */
export function pausingBuild(bytes: Uint8Array): Uint8Array {
  const module = new WasmModule(bytes);
  const [counter, deadline] = [module.addCounter(), module.addCounter()];
  module.exportGlobal(instructionCounter, counter);
  module.exportGlobal(instructionDeadline, deadline);
  if (module.hasStackPointer) module.exportGlobal(stackPointer, 0);
  const pausing = { counter, deadline, pause: module.nextFunction };
  module.replaceBodies(module.bodies.map((body) => pausingBody(module.bytes, body, pausing)));
  module.addFunction(pauseFunction, []);
  return module.written();
}

function pausingBody(bytes: Uint8Array, body: Body, pausing: Pausing): number[] {
  const code = withTwoWordLocals(bytes, body);
  let stretch: number[] = [];
  let count = 0;
  const flush = (): void => {
    if (count > 0) code.push(...addTo(pausing.counter, constant(count)));
    for (const byte of stretch) code.push(byte);
    stretch = [];
    count = 0;
  };
  const pause = (): void => {
    flush();
    for (const byte of pausePoint(pausing)) code.push(byte);
  };
  for (const instruction of instructionsOf(bytes, body.code, body.to)) {
    const { opcode, flow } = instruction;
    if (flow === 'call' || touchesMemory(opcode)) pause();
    if (!free.has(flow)) count++;
    const split = halves(bytes, instruction, body.variables, pausing);
    for (const byte of split ?? bytes.subarray(instruction.from, instruction.to))
      stretch.push(byte);
    if (flow === 'loop') pause();
    else if (!inside.has(flow)) flush();
  }
  return code;
}

/** An access of 64 bit as two of 32, an interrupt may come between; null for any other instruction. */
function halves(
  bytes: Uint8Array,
  { opcode, flow, body }: Instruction,
  first: number,
  pausing: Pausing,
): number[] | null {
  if (flow !== 'plain' || !touchesMemory(opcode)) return null;
  const [, afterAlignment] = numberAt(bytes, body);
  const [offset] = numberAt(bytes, afterAlignment);
  const between = [...addTo(pausing.counter, constant(1)), ...pausePoint(pausing)];
  return inTwoWords(opcode, { offset, first }, between);
}

function withTwoWordLocals(bytes: Uint8Array, { locals, code }: Body): number[] {
  const [groups, end] = numberAt(bytes, locals);
  const { count, declared } = twoWordLocals;
  return [...leb128(groups + count), ...bytes.subarray(end, code), ...declared];
}
