import binaryen from 'binaryen';

/** The bytes of a module whose parts are written as text (WebAssembly Core Specification 2.0, section 6). */
export function assembled(text: string): Uint8Array {
  const module = binaryen.parseText(`(module ${text})`);
  try {
    return module.emitBinary();
  } finally {
    module.dispose();
  }
}
