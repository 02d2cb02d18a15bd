import { type HeartbeatEntry, heartbeatBytes } from '../../../drivers/plant/firmware/heartbeat.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { startWorker } from '../entry-point.ts';
import type { ExploreNews, ExploreWorkerData } from './explore-worker.ts';
import { onHang } from './on-hang.ts';

/**
 * Whether firmware hangs in that call as it carries out these steps: in a fresh thread, which is ended either way. Rejects when the thread
 * ends by an error of ours.
 */
export async function hangsIn(
  entry: HeartbeatEntry,
  steps: readonly WrittenStep[],
  { tried, seed }: Pick<ExploreWorkerData, 'tried' | 'seed'>,
): Promise<boolean> {
  const heartbeat = new SharedArrayBuffer(heartbeatBytes);
  const stop = new SharedArrayBuffer(4);
  const workerData: ExploreWorkerData = {
    ...{ tried, seed, heartbeat, stop, corpus: [steps], plans: [] },
    ...{ shrinkTries: 0, share: 0, of: 1 },
  };
  const worker = startWorker('exploring/explore-worker', { workerData, stdout: false });
  let watching: NodeJS.Timeout | undefined;
  let begun = 0;
  try {
    return await new Promise<boolean>((resolve, reject) => {
      watching = onHang(heartbeat, (own) => resolve(own === entry));
      worker
        // Whoever begins another sequence is through with this one.
        .on('message', ({ news }: ExploreNews) => {
          if (news === 'trying') begun++;
          if (begun > 1 || news === 'deviation') resolve(false);
        })
        .on('error', reject);
    });
  } finally {
    clearInterval(watching);
    await worker.terminate();
  }
}
