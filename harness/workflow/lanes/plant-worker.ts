import { setImmediate } from 'node:timers/promises';
import { parentPort, workerData } from 'node:worker_threads';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { runCondition } from '../../run/condition/run-condition.ts';
import type { ConditionTask } from '../../run/engine/lane.ts';
import { wallClock } from '../wall-clock.ts';
import { withoutProtocol } from './foreign-protocol.ts';
import type { PlantAnswer, PlantOrder, PlantWorkerData } from './plant-lane.ts';
import { withoutTime } from './timeless-firmware.ts';

/** One lane of the simulated lamp: a worker thread that carries out conditions one at a time, each on a fresh plant. */
const port = parentPort;
if (!port) throw new Error('plant-worker is started as a worker thread by plant-lane');
const { firmware, heartbeat, everything } = workerData as PlantWorkerData;
/** One for each order that is not answered yet: a cancel is for all of them. */
const outstanding = new Set<AbortController>();
let last: Promise<void> = Promise.resolve();
let on: Pick<ConditionTask, 'lamp' | 'rig'> | null = null;

port.on('message', (order: PlantOrder) => {
  if (order.order === 'cancel') {
    for (const controller of outstanding) controller.abort('cancelled');
  } else {
    on = order.on ?? on;
    if (!on) throw new Error('the first order to a worker says what lamp and rig it is about');
    const task = { ...order.task, ...on };
    const controller = new AbortController();
    outstanding.add(controller);
    last = last.then(async () => {
      // Short conditions never give way: between two of them a cancel is heard.
      await setImmediate();
      const { answer, transfer } = await execute(task, controller.signal);
      outstanding.delete(controller);
      port.postMessage(answer, transfer);
    });
  }
});

async function execute(
  task: ConditionTask,
  signal: AbortSignal,
): Promise<{ answer: PlantAnswer; transfer: ArrayBuffer[] }> {
  try {
    const { lamp, rig, seed, lampSeed, faults } = task;
    const parts = { firmware, heartbeat, everything };
    const open = () => openPlantBench({ lamp, rig, seed, lampSeed, faults, ...parts });
    const wall = { wallNow: wallClock.now };
    const result =
      withoutTime(task, firmware) ??
      withoutProtocol(task, firmware) ??
      (await runCondition(task, open, signal, wall));
    const transfer = [...result.captures.values()].map(({ codes }) => codes.buffer as ArrayBuffer);
    return { answer: { ok: true, result }, transfer: [...new Set(transfer)] };
  } catch (error) {
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    return { answer: { ok: false, error: text }, transfer: [] };
  }
}
