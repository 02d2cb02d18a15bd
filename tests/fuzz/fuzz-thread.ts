import { Worker } from 'node:worker_threads';
import type { FuzzAnswer, FuzzOrder, FuzzShared } from './fuzz-worker.ts';

interface FuzzFailure {
  readonly input: Uint8Array;
  /** What happened: a stack, or that it did not end. */
  readonly error: string;
}

/** Longest input that a failure is kept of, bytes. */
const mostInput = 4 * 2 ** 20;
/** Heap of a reader: an input that needs more is a failure. */
const mostHeap = 1024;
/** ms */
const pollEvery = 250;

// A worker does not inherit the loader of TypeScript.
const loader = JSON.stringify(import.meta.resolve('tsx/esm/api'));
const file = JSON.stringify(new URL('./fuzz-worker.ts', import.meta.url).href);
const code = `import(${loader}).then(({ register }) => { register(); return import(${file}); })`;

/** What came of one order. */
interface Fuzzed {
  readonly failures: readonly FuzzFailure[];
  readonly inputs: number;
}

/** A thread in which readers read: an input that never ends takes the thread, not the program that asked. */
export class FuzzThread {
  readonly #shared: FuzzShared = {
    words: new SharedArrayBuffer(12),
    input: new SharedArrayBuffer(mostInput),
  };
  readonly #state = new Int32Array(this.#shared.words);
  #worker: Worker | null = null;

  /**
   * Has a reader read old failures and new mutations; `patience` is how long one input may take, s. One that never
   * ends, or takes the thread with it, is a failure, and the rest of the order is left.
   */
  async read(order: FuzzOrder, patience: number): Promise<Fuzzed> {
    const worker = (this.#worker ??= await this.#newWorker());
    const failures: FuzzFailure[] = [];
    const [before, began] = [Atomics.load(this.#state, 0), performance.now()];
    return new Promise((resolve) => {
      let [begun, since] = [before, began];
      const end = (broken?: string): void => {
        clearInterval(watch);
        worker.off('error', onError).off('message', onMessage);
        if (broken !== undefined) {
          failures.push({ input: this.#present(), error: broken });
          this.close();
        }
        resolve({ failures, inputs: Atomics.load(this.#state, 0) - before });
      };
      const watch = setInterval(() => {
        const count = Atomics.load(this.#state, 0);
        const reading = Atomics.load(this.#state, 2) === 1;
        if (!reading || count !== begun) [begun, since] = [count, performance.now()];
        else if (performance.now() - since > 1000 * patience)
          end(`it did not end within ${patience} s`);
      }, pollEvery);
      const onError = (error: Error) => end(`it took its thread with it: ${error.message}`);
      const onMessage = (answer: FuzzAnswer) => {
        if (answer.is === 'failure') failures.push(answer);
        else end();
      };
      worker.on('error', onError).on('message', onMessage);
      worker.postMessage(order);
    });
  }

  close(): void {
    void this.#worker?.terminate();
    this.#worker = null;
  }

  #newWorker(): Promise<Worker> {
    const worker = new Worker(code, {
      eval: true,
      workerData: this.#shared,
      resourceLimits: { maxOldGenerationSizeMb: mostHeap },
    });
    return new Promise((resolve, reject) => {
      worker.once('error', reject);
      worker.once('message', () => {
        worker.off('error', reject);
        resolve(worker);
      });
    });
  }

  #present(): Uint8Array {
    Atomics.store(this.#state, 2, 0);
    return new Uint8Array(this.#shared.input).slice(0, Atomics.load(this.#state, 1));
  }
}
