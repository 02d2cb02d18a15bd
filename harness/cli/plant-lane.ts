import { Worker } from 'node:worker_threads';
import { LampFailure } from '../bench/errors.ts';
import { lampFailureFinding } from '../run/direct-findings.ts';
import type { ConditionResult, ConditionTask, Lane } from '../run/lane.ts';

export interface PlantWorkerData {
  /** WebAssembly build of the user's firmware; absent for the reference firmware. */
  readonly firmware?: { readonly name: string; readonly bytes: Uint8Array };
  readonly heartbeat: SharedArrayBuffer;
}

export type PlantOrder =
  | {
      readonly order: 'execute';
      readonly task: Omit<ConditionTask, 'lamp' | 'rig'>;
      /** Where they are others than those of the task before: a copy of them costs more than many a condition. */
      readonly on?: Pick<ConditionTask, 'lamp' | 'rig'>;
    }
  | { readonly order: 'cancel' };

export type PlantAnswer =
  | { readonly ok: true; readonly result: ConditionResult }
  | { readonly ok: false; readonly error: string };

/** Wall-clock time that firmware may stay inside one call before it counts as spinning, ms. */
const longestCall = 1000;
const pollEvery = 100;

/** A lane of the simulated lamp in a worker thread, so that several run side by side and one that spins can be ended. */
export class PlantLane implements Lane {
  readonly repeatable = true;
  readonly #firmware: PlantWorkerData['firmware'];
  readonly #heartbeat = new SharedArrayBuffer(8);
  #worker: Worker | null = null;
  /** What the worker was last sent. */
  #sent: Pick<ConditionTask, 'lamp' | 'rig'> | null = null;

  constructor(firmware?: PlantWorkerData['firmware']) {
    this.#firmware = firmware;
  }

  async execute(task: ConditionTask, signal: AbortSignal): Promise<ConditionResult> {
    const worker = (this.#worker ??= this.#start());
    const spinning = new AbortController();
    const watch = this.#watch(spinning);
    const cancel = (): void => worker.postMessage({ order: 'cancel' } satisfies PlantOrder);
    signal.addEventListener('abort', cancel, { once: true });
    try {
      const answer = await this.#ask(worker, task, spinning.signal);
      if (answer.ok) return answer.result;
      throw new Error(answer.error);
    } catch (error) {
      if (!spinning.signal.aborted) throw error;
      this.#worker = null;
      await worker.terminate();
      return spun(task);
    } finally {
      clearInterval(watch);
      signal.removeEventListener('abort', cancel);
    }
  }

  /** The simulated lamp ends with its condition: nothing is left alight. */
  async safe(): Promise<{ confirmed: boolean; detail: string }> {
    return { confirmed: true, detail: 'simulated lamp: each condition ends with its plant' };
  }

  async close(): Promise<void> {
    const worker = this.#worker;
    this.#worker = null;
    await worker?.terminate();
  }

  #orderOf({ lamp, rig, ...task }: ConditionTask): PlantOrder {
    if (this.#sent?.lamp === lamp && this.#sent.rig === rig) return { order: 'execute', task };
    this.#sent = { lamp, rig };
    return { order: 'execute', task, on: this.#sent };
  }

  #start(): Worker {
    this.#sent = null;
    const workerData: PlantWorkerData = {
      heartbeat: this.#heartbeat,
      ...(this.#firmware ? { firmware: this.#firmware } : {}),
    };
    return startWorker(import.meta.url, workerData);
  }

  #ask(worker: Worker, task: ConditionTask, spinning: AbortSignal): Promise<PlantAnswer> {
    return new Promise((resolve, reject) => {
      const settle = (act: () => void): void => {
        worker.off('message', onMessage).off('error', onError).off('exit', onExit);
        act();
      };
      const onMessage = (answer: PlantAnswer): void => settle(() => resolve(answer));
      const onError = (error: Error): void => settle(() => reject(error));
      const onExit = (code: number): void =>
        settle(() => reject(new Error(`the worker of the simulated lamp ended with code ${code}`)));
      worker.on('message', onMessage).on('error', onError).on('exit', onExit);
      spinning.addEventListener('abort', () => settle(() => reject(new Error('spinning'))), {
        once: true,
      });
      worker.postMessage(this.#orderOf(task));
    });
  }

  /** Word 0: 1 while firmware is being called; word 1: how many calls there were. */
  #watch(spinning: AbortController): NodeJS.Timeout {
    const beat = new Int32Array(this.#heartbeat);
    let calls = -1;
    let since = performance.now();
    return setInterval(() => {
      const inside = Atomics.load(beat, 0) === 1;
      const count = Atomics.load(beat, 1);
      if (!inside || count !== calls) {
        calls = count;
        since = performance.now();
      } else if (performance.now() - since > longestCall) {
        spinning.abort();
      }
    }, pollEvery);
  }
}

function spun(task: ConditionTask): ConditionResult {
  const reason = `it did not return from one call within ${longestCall} ms (an endless loop?)`;
  const condition = {
    key: task.condition.key,
    values: { ...task.condition.values },
    repeat: task.repeat,
    verdict: 'fail' as const,
    reason: `The firmware broke down: ${reason}`,
    startedAt: new Date().toISOString(),
    duration: 0,
    attempts: 1,
    marks: [],
    commands: [],
    captures: [],
    findings: [lampFailureFinding(new LampFailure(reason))],
  };
  return { condition, captures: [] };
}

/** From the bundle: the file beside the entry. From the sources: the TypeScript itself, through the loader of the sources. */
function startWorker(here: string, workerData: PlantWorkerData): Worker {
  // Log lines of a worker would mix into the results on stdout.
  const options = { workerData, stdout: false };
  if (!here.endsWith('.ts')) {
    const inChunk = here.includes('/chunks/');
    return new Worker(new URL(inChunk ? '../plant-worker.js' : './plant-worker.js', here), options);
  }
  const loader = JSON.stringify(import.meta.resolve('tsx/esm/api'));
  const worker = JSON.stringify(new URL('./plant-worker.ts', here).href);
  const code = `import(${loader}).then(({ register }) => { register(); return import(${worker}); })`;
  return new Worker(code, { ...options, eval: true });
}
