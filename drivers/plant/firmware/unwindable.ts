import { createHash } from 'node:crypto';
import type Binaryen from 'binaryen';
import { pauseFunction } from './preemption-points.ts';
import { sectionsOf, withoutCustomSections } from './wasm-sections.ts';

/** The memory of a rewritten build is exported under this name, whatever the build itself exports. */
export const frameMemory = 'evenfall_memory';

const reserved = [
  frameMemory,
  'asyncify_start_unwind',
  'asyncify_stop_unwind',
  'asyncify_start_rewind',
  'asyncify_stop_rewind',
  'asyncify_get_state',
];

/** Source: WebAssembly Core Specification 2.0, section 5.5.13. */
const codeSection = 10;
/** Bytes of code: a mebibyte takes binaryen 15 s and 800 MB on one core, and a lamp's firmware is a small part of it. */
const mostCode = 2 ** 20;

/** One rewriting for each build, by the sha256 of its bytes. */
const rewritten = new Map<string, Promise<Uint8Array>>();

/**
 * The same program so rewritten that lamp_main() can be left in lamp_wait_for_interrupt() and entered again there: the
 * Asyncify pass of binaryen, which adds the exports asyncify_start_unwind, …_stop_unwind, …_start_rewind and
 * …_stop_rewind. What the program computes stays the same. Rejects where binaryen cannot rewrite it.
 */
export function unwindable(bytes: Uint8Array): Promise<Uint8Array> {
  const digest = createHash('sha256').update(bytes).digest('hex');
  const known = rewritten.get(digest);
  if (known !== undefined) return known;
  const made = rewrite(bytes);
  rewritten.set(digest, made);
  return made;
}

/** Functions of the lamp in which a main loop can be left. */
const leavingFunctions = [
  'env.lamp_wait_for_interrupt',
  'env.lamp_enable_interrupts',
  `env.${pauseFunction}`,
];

/** The function by which a build pauses becomes one of the lamp. */
function importPause(
  { i32, none, getExportInfo }: typeof Binaryen,
  program: InstanceType<typeof Binaryen.Module>,
): void {
  const place = program.getExport(pauseFunction);
  if (place === 0) return;
  const name = getExportInfo(place).value;
  program.removeExport(pauseFunction);
  program.removeFunction(name);
  program.addFunctionImport(name, 'env', pauseFunction, i32, none);
}

async function rewrite(bytes: Uint8Array): Promise<Uint8Array> {
  const code = [...sectionsOf(bytes)].find(({ number }) => number === codeSection);
  const length = code ? code.to - code.body : 0;
  if (length > mostCode)
    throw new Error(
      `it has ${(length / 2 ** 20).toFixed(1)} MiB of code; expected at most ${mostCode / 2 ** 20} MiB`,
    );
  // Loading it takes a third of a second and 80 MB: only for builds that need it.
  const { default: binaryen } = await import('binaryen');
  // Without names in the build, binaryen numbers what it finds.
  const program = binaryen.readBinary(withoutCustomSections(bytes));
  try {
    const taken = reserved.find((name) => program.getExport(name) !== 0);
    if (taken !== undefined) throw new Error(`it exports ${taken}, a name that is needed for it`);
    if (!program.hasMemory()) program.setMemory(1, 1, frameMemory);
    else if (program.getMemoryInfo().initial > 0) program.addMemoryExport('0', frameMemory);
    else throw new Error('it has no memory');
    binaryen.setOptimizeLevel(1);
    importPause(binaryen, program);
    binaryen.setPassArgument('asyncify-imports', leavingFunctions.join(','));
    program.runPasses(['asyncify']);
    return program.emitBinary();
  } finally {
    binaryen.clearPassArguments();
    program.dispose();
  }
}
