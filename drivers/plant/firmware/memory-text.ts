/** Bytes of a text that are looked through for its end. */
const longestText = 2 ** 16;
const notYet = new TextEncoder().encode(
  '(a text from before the program was up: it cannot be read)',
);

/**
 * The bytes of a text in a program's memory, up to its zero byte; a copy. `memory` is null while the program's start function runs.
 * Throws where the text does not lie in memory: the firmware is at fault.
 */
export function textAt(memory: WebAssembly.Memory | null, address: number): Uint8Array {
  if (!memory) return notYet;
  const bytes = new Uint8Array(memory.buffer);
  const at = `the text at 0x${address.toString(16)} that it handed over`;
  if (address >= bytes.length)
    throw new Error(`${at} lies beyond its memory of ${bytes.length} bytes`);
  const most = bytes.subarray(address, address + longestText);
  const end = most.indexOf(0);
  if (end < 0 && most.length < longestText) throw new Error(`${at} has no zero byte at its end`);
  return most.slice(0, end < 0 ? longestText : end);
}
