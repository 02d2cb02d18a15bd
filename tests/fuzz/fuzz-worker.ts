import { parentPort, workerData } from 'node:worker_threads';
import { isKnown } from './known-errors.ts';
import { mutatedBytes, mutatedJson, oneOf, randomFrom } from './mutate.ts';
import { type Reader, readers } from './readers.ts';

/** What one thread is asked to do. */
export interface FuzzOrder {
  readonly reader: string;
  readonly seed: number;
  readonly count: number;
  /** Inputs of old failures, which come first. */
  readonly corpus: readonly Uint8Array[];
}

/** The input being read, for whoever has to end the thread: its length, how many there were, and its bytes. */
export interface FuzzShared {
  /** Word 0: inputs begun; word 1: length of the present one; word 2: 1 while it is read. */
  readonly words: SharedArrayBuffer;
  readonly input: SharedArrayBuffer;
}

export type FuzzAnswer =
  | { readonly is: 'failure'; readonly input: Uint8Array; readonly error: string }
  | { readonly is: 'done'; readonly inputs: number };

const { words, input } = workerData as FuzzShared;
const [state, bytes] = [new Int32Array(words), new Uint8Array(input)];

parentPort?.on('message', (order: FuzzOrder) => void carryOut(order));
parentPort?.postMessage({ is: 'done', inputs: 0 } satisfies FuzzAnswer);

async function carryOut({ reader: name, seed, count, corpus }: FuzzOrder): Promise<void> {
  const reader = readers.find((one) => one.name === name);
  if (!reader) throw new Error(`no reader ${name}`);
  let inputs = 0;
  for (const one of [...corpus, ...inputsOf(reader, seed, count)]) {
    await tryOne(reader, one);
    inputs++;
  }
  parentPort?.postMessage({ is: 'done', inputs } satisfies FuzzAnswer);
}

function* inputsOf(reader: Reader, seed: number, count: number): Generator<Uint8Array> {
  const random = randomFrom(seed);
  const seeds = reader.seeds();
  yield* seeds;
  for (let k = 0; k < count; k++) {
    const from = oneOf(seeds, random);
    const asJson = reader.kind === 'json' && random() < 0.7;
    yield asJson
      ? Buffer.from(mutatedJson(Buffer.from(from).toString(), random))
      : mutatedBytes(from, random);
  }
}

async function tryOne(reader: Reader, one: Uint8Array): Promise<void> {
  bytes.set(one.subarray(0, bytes.length));
  Atomics.store(state, 1, Math.min(one.length, bytes.length));
  Atomics.add(state, 0, 1);
  Atomics.store(state, 2, 1);
  try {
    await reader.read(one);
  } catch (error) {
    if (isKnown(error)) return;
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    parentPort?.postMessage({ is: 'failure', input: one, error: text } satisfies FuzzAnswer);
  } finally {
    Atomics.store(state, 2, 0);
  }
}
