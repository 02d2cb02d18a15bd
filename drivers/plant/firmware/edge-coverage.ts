import { countEdges, type Edge, edgeMemory, tellEdges } from './edge-counters.ts';
import type { Firmware } from './firmware.ts';
import { type FirmwareImage, FirmwareLoadError } from './firmware-image.ts';
import { loadRewritten } from './load-firmware.ts';
import { openFirmware } from './open-firmware.ts';

/** The counters pass through one page of memory, a byte each. */
const mostEdges = 2 ** 16;

/** A build with a counter on each edge of its control flow, ready to run. */
export interface CountedImage extends FirmwareImage {
  readonly edges: readonly Edge[];
}

/** Like loadFirmware. Rejects with FirmwareLoadError too. */
export async function loadCounted(bytes: Uint8Array, name: string): Promise<CountedImage> {
  let edges: readonly Edge[] = [];
  const image = await loadRewritten(bytes, name, (build) => {
    const counted = countEdges(build);
    edges = counted.edges;
    if (edges.length > mostEdges)
      throw new FirmwareLoadError(
        `${name} has ${edges.length} edges of control flow; at most ${mostEdges} can be counted. Leave out what need not be searched.`,
      );
    return counted.bytes;
  });
  return { ...image, edges };
}

/** Which edges of a build have been reached, over all copies of the program that ran (each restart begins a new one). */
export class EdgeCoverage {
  readonly firmware: Firmware;
  readonly #before: Uint8Array;
  #exports: WebAssembly.Exports = {};

  constructor(image: CountedImage, heartbeat?: SharedArrayBuffer) {
    this.#before = new Uint8Array(image.edges.length);
    this.firmware = openFirmware(image, {
      heartbeat,
      loaded: (exports) => {
        this.#before.set(this.reached());
        this.#exports = exports;
      },
    });
  }

  /** How often each edge of `image.edges` was passed; 255 stands for all that is more. */
  reached(): Uint8Array {
    const now = this.#present();
    return this.#before.map((count, edge) => Math.min(255, count + (now[edge] ?? 0)));
  }

  #present(): Uint8Array {
    const { [edgeMemory]: memory, [tellEdges]: tell } = this.#exports;
    if (!(memory instanceof WebAssembly.Memory) || typeof tell !== 'function')
      return new Uint8Array();
    const place = new Uint8Array(memory.buffer, 0, this.#before.length);
    const under = place.slice();
    tell(0);
    const counts = place.slice();
    place.set(under);
    return counts;
  }
}
