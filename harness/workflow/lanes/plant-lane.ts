import type { Worker } from 'node:worker_threads';
import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import { LampFailure } from '../../bench/errors.ts';
import type { ConditionResult, ConditionTask, Lane } from '../../run/engine/lane.ts';
import { lampFailureFinding } from '../../run/judge/direct-findings.ts';
import { startWorker } from '../entry-point.ts';
import { wallClock } from '../wall-clock.ts';

export interface PlantWorkerData {
  /** Absent for the reference firmware. */
  readonly firmware?: FirmwareImage;
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

/** A condition that was ordered and not yet answered. */
interface Ordered {
  readonly task: ConditionTask;
  readonly signal: AbortSignal;
  resolve(result: ConditionResult): void;
  reject(error: unknown): void;
}

/**
 * A lane of the simulated lamp in a worker thread, so that several run side by side and one that spins can be ended.
 * Orders are answered in their turn; one may wait at the worker, so that it need not wait for this thread.
 */
export class PlantLane implements Lane {
  readonly repeatable = true;
  readonly ahead = 1;
  readonly #firmware: FirmwareImage | undefined;
  readonly #heartbeat = new SharedArrayBuffer(8);
  /** In the order of their answers. */
  #ordered: Ordered[] = [];
  #worker: Worker | null = null;
  #watching: NodeJS.Timeout | null = null;
  /** The worker that is being ended because its firmware does not return. */
  #spinning: Worker | null = null;
  /** What the worker was last sent. */
  #sent: Pick<ConditionTask, 'lamp' | 'rig'> | null = null;

  constructor(firmware?: FirmwareImage) {
    this.#firmware = firmware;
  }

  /** Starts the worker now, not at the first condition: it loads its code meanwhile. */
  start(): Worker {
    this.#worker ??= this.#newWorker();
    return this.#worker;
  }

  async execute(task: ConditionTask, signal: AbortSignal): Promise<ConditionResult> {
    const cancel = (): void => this.#cancel();
    signal.addEventListener('abort', cancel, { once: true });
    try {
      return await new Promise<ConditionResult>((resolve, reject) => {
        this.start().postMessage(this.#orderOf(task));
        this.#ordered.push({ task, signal, resolve, reject });
        this.#watching ??= this.#watch();
      });
    } finally {
      signal.removeEventListener('abort', cancel);
      if (this.#ordered.length === 0) this.#stopWatching();
    }
  }

  /** The simulated lamp ends with its condition: nothing is left alight. */
  async safe(): Promise<{ confirmed: boolean; detail: string }> {
    return { confirmed: true, detail: 'simulated lamp: each condition ends with its plant' };
  }

  async close(): Promise<void> {
    const worker = this.#worker;
    this.#worker = null;
    this.#stopWatching();
    await worker?.terminate();
    for (const { reject } of this.#ordered.splice(0)) reject(new Error('the lane was closed'));
  }

  /** Everything that was ordered and is not answered yet. */
  #cancel(): void {
    this.#worker?.postMessage({ order: 'cancel' } satisfies PlantOrder);
  }

  #orderOf({ lamp, rig, ...task }: ConditionTask): PlantOrder {
    if (this.#sent?.lamp === lamp && this.#sent.rig === rig) return { order: 'execute', task };
    this.#sent = { lamp, rig };
    return { order: 'execute', task, on: this.#sent };
  }

  #newWorker(): Worker {
    this.#sent = null;
    new Int32Array(this.#heartbeat).fill(0);
    const workerData: PlantWorkerData = {
      heartbeat: this.#heartbeat,
      ...(this.#firmware ? { firmware: this.#firmware } : {}),
    };
    // Log lines of a worker would mix into the results on stdout.
    const worker = startWorker('lanes/plant-worker', { workerData, stdout: false });
    let trouble: Error | null = null;
    return worker
      .on('message', (answer: PlantAnswer) => {
        const first = this.#ordered.shift();
        if (answer.ok) first?.resolve(answer.result);
        else first?.reject(new Error(answer.error));
      })
      .on('error', (error) => {
        trouble = error;
      })
      .on('exit', (code) => {
        if (this.#worker !== worker) return;
        const first = this.#ordered.shift();
        if (this.#spinning === worker) first?.resolve(spun(first.task));
        else
          first?.reject(
            trouble ?? new Error(`the worker of the simulated lamp ended with code ${code}`),
          );
        this.#replaceWorker();
      });
  }

  /** Hands what the last worker has not answered to a new one. */
  #replaceWorker(): void {
    this.#worker = null;
    if (this.#ordered.length === 0) return;
    this.#worker = this.#newWorker();
    for (const { task } of this.#ordered) this.#worker.postMessage(this.#orderOf(task));
    if (this.#ordered.some(({ signal }) => signal.aborted)) this.#cancel();
  }

  /** Word 0: 1 while firmware is being called; word 1: how many calls there were. */
  #watch(): NodeJS.Timeout {
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
        this.#spinning = this.#worker;
        void this.#worker?.terminate();
      }
    }, pollEvery);
  }

  #stopWatching(): void {
    if (this.#watching) clearInterval(this.#watching);
    this.#watching = null;
  }
}

function spun(task: ConditionTask): ConditionResult {
  const reason = `it did not return from one call within ${longestCall} ms (an infinite loop?)`;
  const condition = {
    key: task.condition.key,
    values: { ...task.condition.values },
    repeat: task.repeat,
    verdict: 'fail' as const,
    reason: `The firmware broke down: ${reason}`,
    startedAt: wallClock.now(),
    duration: 0,
    attempts: 1,
    marks: [],
    commands: [],
    captures: [],
    findings: [lampFailureFinding(new LampFailure(reason))],
  };
  return { condition, captures: new Map() };
}
