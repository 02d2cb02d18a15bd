import type { FirmwareImage } from '../firmware-image.ts';
import { withSourceMap } from './source-map.ts';

/**
 * A build as a debugger can show it. By ticks it runs as it was built, debug information and all; a main loop was rewritten without it, and
 * gets a source map.
 */
export function debuggerImage(image: FirmwareImage): FirmwareImage {
  const { style, debug } = image;
  if (style === 'ticks' || !debug) return image;
  const bytes = withSourceMap(debug);
  return { ...image, module: new WebAssembly.Module(bytes as Uint8Array<ArrayBuffer>) };
}
