import type { UnwoundFrames } from './unwound-frames.ts';
import { frameSpace } from './unwound-frames.ts';
import type { WasmProgram } from './wasm-program.ts';

/**
 * Lets lamp_main() run until it is left. Throws LampFailure where it returns, or where its frames do not fit: `where` says up to what they
 * are kept, `remedy` what to do.
 */
export function runUntilLeft(
  program: Pick<WasmProgram, 'fail'>,
  frames: UnwoundFrames,
  run: () => void,
  [where, remedy]: readonly [where: string, remedy: string],
): void {
  const tooDeep = `the functions from lamp_main() to ${where} hold more than ${frameSpace / 2 ** 10} KiB of variables; ${remedy}`;
  try {
    run();
  } catch (error) {
    throw frames.overflowed ? program.fail(tooDeep, error) : error;
  }
  if (frames.overflowed) throw program.fail(tooDeep);
  if (!frames.leaving) throw program.fail('lamp_main() returned; it must not');
  frames.left();
}
