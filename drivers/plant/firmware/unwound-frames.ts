import { frameMemory } from './unwindable.ts';

/** Bytes for the frames of a main loop from lamp_main() to its wait. Stated in lamp-port.h. */
export const frameSpace = 32 * 2 ** 10;
/** Two words in front of the frames: where they end, and where their space does. */
const head = 8;

/**
 * The frames of a main loop that is left in its wait. While it is being left or entered none of its instructions run, so
 * its frames may pass through the first bytes of its memory; what is there is put back before anything else runs.
 * Source: binaryen, src/passes/Asyncify.cpp (layout of the two words, order of the calls), from memory.
 */
export class UnwoundFrames {
  readonly #memory: WebAssembly.Memory;
  readonly #exports: WebAssembly.Exports;
  /** What the program has where its frames pass through. */
  readonly #under = new Uint8Array(frameSpace);
  readonly #frames = new Uint8Array(frameSpace);
  #used = 0;
  #window = new Uint8Array();
  #words = new Uint32Array();
  #state: 'running' | 'leaving' | 'left' | 'entering' = 'running';

  /** Of a copy of a build that `unwindable` rewrote. */
  constructor(exports: WebAssembly.Exports) {
    const memory = exports[frameMemory];
    if (!(memory instanceof WebAssembly.Memory)) throw new Error('the build was not rewritten');
    this.#memory = memory;
    this.#exports = exports;
  }

  /** On its way out of the wait. */
  get leaving(): boolean {
    return this.#state === 'leaving';
  }

  /** On its way back into the wait. */
  get entering(): boolean {
    return this.#state === 'entering';
  }

  /** Its frames are longer than their space; what lay behind it is overwritten. */
  get overflowed(): boolean {
    this.#space();
    return this.leaving && (this.#words[0] ?? 0) > frameSpace;
  }

  /** In the wait: from here on every function returns to its caller, up to lamp_main()'s. */
  leave(): void {
    const space = this.#space();
    this.#under.set(space);
    this.#words[0] = head;
    this.#words[1] = frameSpace;
    this.#state = 'leaving';
    this.#call('asyncify_start_unwind', 0);
  }

  /** After lamp_main() has returned. */
  left(): void {
    this.#call('asyncify_stop_unwind');
    const space = this.#space();
    this.#used = this.#words[0] ?? 0;
    this.#frames.set(space.subarray(0, this.#used));
    space.set(this.#under.subarray(0, this.#used));
    this.#state = 'left';
  }

  /** Before lamp_main() is called again: from here on every function goes where it was. */
  enter(): void {
    const space = this.#space();
    this.#under.set(space.subarray(0, this.#used));
    space.set(this.#frames.subarray(0, this.#used));
    this.#state = 'entering';
    this.#call('asyncify_start_rewind', 0);
  }

  /** In the same wait as before. */
  entered(): void {
    this.#call('asyncify_stop_rewind');
    this.#space().set(this.#under.subarray(0, this.#used));
    this.#state = 'running';
  }

  #space(): Uint8Array {
    const { buffer } = this.#memory;
    // Memory that grows is another buffer.
    if (this.#window.buffer !== buffer) {
      this.#window = new Uint8Array(buffer, 0, frameSpace);
      this.#words = new Uint32Array(buffer, 0, 2);
    }
    return this.#window;
  }

  #call(name: string, ...numbers: readonly number[]): void {
    const entry = this.#exports[name];
    if (typeof entry === 'function') entry(...numbers);
  }
}
