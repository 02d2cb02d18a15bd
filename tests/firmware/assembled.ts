import binaryen from 'binaryen';

/** The bytes of a module whose parts are written as text (WebAssembly Core Specification 2.0, section 6). */
export function assembled(text: string): Uint8Array {
  const module = binaryen.parseText(`(module ${text})`);
  module.setFeatures(binaryen.Features.MVP | binaryen.Features.ExceptionHandling);
  try {
    return module.emitBinary();
  } finally {
    module.dispose();
  }
}
