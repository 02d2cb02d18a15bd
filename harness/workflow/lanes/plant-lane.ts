import type { Worker } from 'node:worker_threads';
import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import { callOf, heartbeatBytes } from '../../../drivers/plant/firmware/heartbeat.ts';
import { LampFailure } from '../../bench/errors.ts';
import type { ConditionResult, ConditionTask, Lane } from '../../run/engine/lane.ts';
import { lampFailureFinding } from '../../run/judge/direct-findings.ts';
import { startWorker } from '../entry-point.ts';
import { wallClock } from '../wall-clock.ts';
import { CallWatch, longestCall, lookEvery } from './call-watch.ts';

export interface PlantWorkerData {
  /** Absent for the reference firmware. */
  readonly firmware?: FirmwareImage;
  /** Record what goes on inside the lamp, too. */
  readonly everything?: boolean;
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
  readonly #everything: boolean;
  readonly #heartbeat = new SharedArrayBuffer(heartbeatBytes);
  /** In the order of their answers. */
  #ordered: Ordered[] = [];
  #worker: Worker | null = null;
  #watching: NodeJS.Timeout | null = null;
  /** What is being ended because its firmware does not return, and from what. */
  #spinning: { readonly ordered: Ordered | undefined; readonly entry: string } | null = null;
  /** What the worker was last sent. */
  #sent: Pick<ConditionTask, 'lamp' | 'rig'> | null = null;

  /** `everything`: record what goes on inside the lamp, too. */
  constructor(firmware?: FirmwareImage, { everything = false } = {}) {
    this.#firmware = firmware;
    this.#everything = everything;
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
      everything: this.#everything,
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
        this.#endFirst(
          trouble ?? new Error(`the worker of the simulated lamp ended with code ${code}`),
        );
        this.#replaceWorker();
      });
  }

  /** The condition that the last worker was at. */
  #endFirst(trouble: Error): void {
    const spinning = this.#spinning;
    this.#spinning = null;
    // It may have come back, and been answered, before its end.
    if (spinning && spinning.ordered !== this.#ordered[0]) return;
    const first = this.#ordered.shift();
    if (spinning) first?.resolve(spun(first.task, spinning.entry, this.#firmware));
    else first?.reject(trouble);
  }

  /** Hands what the last worker has not answered to a new one. */
  #replaceWorker(): void {
    this.#worker = null;
    if (this.#ordered.length === 0) return;
    this.#worker = this.#newWorker();
    for (const { task } of this.#ordered) this.#worker.postMessage(this.#orderOf(task));
    if (this.#ordered.some(({ signal }) => signal.aborted)) this.#cancel();
  }

  #watch(): NodeJS.Timeout {
    const watch = new CallWatch();
    return setInterval(() => {
      const call = callOf(this.#heartbeat);
      const { user, system } = process.cpuUsage();
      const at = performance.now();
      const spins = watch.spins({
        call: call?.number ?? null,
        at,
        processor: (user + system) / 1000,
      });
      if (!spins || !call || this.#spinning) return;
      this.#spinning = { ordered: this.#ordered[0], entry: call.entry };
      void this.#worker?.terminate();
    }, lookEvery);
  }

  #stopWatching(): void {
    if (this.#watching) clearInterval(this.#watching);
    this.#watching = null;
  }
}

function spun(task: ConditionTask, entry: string, firmware?: FirmwareImage): ConditionResult {
  const reason = `Firmware ${firmware?.name ?? 'reference'}: ${entry} did not come back within ${longestCall} ms (an infinite loop?).`;
  const condition = {
    key: task.condition.key,
    values: { ...task.condition.values },
    repeat: task.repeat,
    verdict: 'fail' as const,
    reason,
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
