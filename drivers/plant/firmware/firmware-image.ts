import { createHash } from 'node:crypto';
import { boundedMemory } from './bounded-memory.ts';
import { debugSectionsOf } from './debug/debug-sections.ts';
import { functionNamesOf } from './function-names.ts';
import { portFunctions, textFunctions } from './lamp-imports.ts';

/** A WebAssembly build that cannot be a lamp's firmware. The message says what was expected and found. */
export class FirmwareLoadError extends Error {
  override readonly name = 'FirmwareLoadError';
}

/** By which a place in the module that runs leads to a line of its source. */
interface DebugModules {
  readonly build: Uint8Array;
  readonly running: Uint8Array;
}

/** A build that was looked at and may be started as often as wanted. */
export interface FirmwareImage {
  readonly name: string;
  readonly module: WebAssembly.Module;
  /** sha256 of the bytes, hex. */
  readonly digest: string;
  /** It exports lamp_receive_datagram(): the sACN protocol is its own. */
  readonly takesDatagrams: boolean;
  /** What the build calls its functions, by their numbers; empty where it has no names. */
  readonly functionNames: ReadonlyMap<number, string>;
  /** Where it has debug information: the build, and the module as the engine has it. */
  readonly debug?: DebugModules;
  /** How lamp-port.h says that it wants to be driven. */
  readonly style: 'ticks' | 'main-loop';
  /** It was rewritten for a processor whose interrupts preempt. */
  readonly preemptible?: true;
}

/** Most memory that a firmware may take, bytes. Stated in lamp-port.h. */
export const mostMemory = 16 * 2 ** 20;
/** What the machine lends it, so that taking too much is seen and told. */
const lentMemory = 2 * mostMemory;

const offered: ReadonlySet<string> = new Set(portFunctions);

/** Compiles a build and looks at what it asks for and offers. Throws FirmwareLoadError. */
export function firmwareImage(bytes: Uint8Array, name: string): FirmwareImage {
  const { module, bytes: running } = compiled(bytes, name);
  const imports = WebAssembly.Module.imports(module);
  const foreign = imports.filter(
    ({ module: from, name: what, kind }) =>
      from !== 'env' || kind !== 'function' || !offered.has(what),
  );
  if (foreign.length > 0) {
    const list = foreign.map(({ module: from, name: what, kind }) => `${kind} ${from}.${what}`);
    throw new FirmwareLoadError(
      `${name} imports ${list.join(', ')}, which lamp-port.h does not declare. Build it with -nostdlib -ffreestanding against lamp-port.h, and link in everything else that it needs.`,
    );
  }
  const offers = WebAssembly.Module.exports(module);
  const texts = imports.find(({ name: what }) => textFunctions.has(what));
  if (texts && !offers.some(({ kind, name: what }) => kind === 'memory' && what === 'memory'))
    throw new FirmwareLoadError(
      `${name} imports ${texts.name}, but does not export its memory, from which the lamp reads the text. Export it as "memory", as the linker does by itself.`,
    );
  const exports = new Set(
    offers.filter(({ kind }) => kind === 'function').map(({ name: what }) => what),
  );
  const digest = createHash('sha256').update(bytes).digest('hex');
  const takesDatagrams = exports.has('lamp_receive_datagram');
  const functionNames = functionNamesOf(bytes);
  const debug = debugSectionsOf(bytes).has('line') ? { debug: { build: bytes, running } } : {};
  const image = { name, module, digest, takesDatagrams, functionNames, ...debug };
  if (exports.has('lamp_main')) return { ...image, style: 'main-loop' };
  const missing = ['lamp_init', 'lamp_tick'].filter((what) => !exports.has(what));
  if (missing.length === 0) return { ...image, style: 'ticks' };
  throw new FirmwareLoadError(
    `${name} does not export ${missing.join(' and ')}. lamp-port.h requires lamp_init() and lamp_tick(), or lamp_main(); it exports ${[...exports].join(', ') || 'no function'}. Is LAMP_EXPORT in front of them?`,
  );
}

interface CompiledBuild {
  readonly module: WebAssembly.Module;
  /** As the engine has them. */
  readonly bytes: Uint8Array;
}

/** With a bound on its memory. Throws FirmwareLoadError. */
export function compiled(bytes: Uint8Array, name: string): CompiledBuild {
  const magic = bytes[0] === 0 && bytes[1] === 0x61 && bytes[2] === 0x73 && bytes[3] === 0x6d;
  if (!magic) {
    const found = bytes.length === 0 ? 'an empty file' : `a file that begins with ${start(bytes)}`;
    throw new FirmwareLoadError(
      `${name} is not a WebAssembly module: it should begin with 00 61 73 6d, but it is ${found}. Build your firmware with clang --target=wasm32; lamp-port.h shows how.`,
    );
  }
  const bounded = boundedMemory(bytes, lentMemory);
  if ('wanted' in bounded) {
    throw new FirmwareLoadError(
      `${name} asks for ${(bounded.wanted / 2 ** 20).toFixed(0)} MiB of memory at its start; a lamp has at most ${mostMemory / 2 ** 20} MiB. Link it with less.`,
    );
  }
  try {
    const module = new WebAssembly.Module(bounded.bytes as Uint8Array<ArrayBuffer>);
    return { module, bytes: bounded.bytes };
  } catch (error) {
    throw new FirmwareLoadError(
      `${name} is a damaged WebAssembly module (${(error as Error).message}). Build it again.`,
      { cause: error },
    );
  }
}

function start(bytes: Uint8Array): string {
  return [...bytes.subarray(0, 4)].map((byte) => byte.toString(16).padStart(2, '0')).join(' ');
}
