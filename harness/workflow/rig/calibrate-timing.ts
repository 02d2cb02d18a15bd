import { BenchError } from '../../bench/errors.ts';
import type { LinkTiming } from '../../bench/rig.ts';
import { RigLane } from '../lanes/rig-lane.ts';
import { acquireRig, benchComplaint, type RigFiles } from './acquire-rig.ts';
import { learnTiming, seenBy, type TimingTask } from './learn-timing.ts';
import type { RigUse } from './rig-event.ts';

/**
 * Commands jumps of the light on each link and finds how late they show in the records: by the lamp's sync pin where one is
 * wired, else by its light, whose lateness holds the lamp's own latency. The rig is left in its safe state. Throws a
 * Complaint where the rig cannot be used, or where the light does not follow.
 */
export async function calibrateTiming(
  files: RigFiles,
  task: TimingTask,
  use: RigUse,
): Promise<readonly LinkTiming[]> {
  // What was found before must not correct what is found now.
  const { timing: _before, ...rig } = files.rig;
  seenBy(rig);
  const { to, bench, guard, release } = await acquireRig({ ...files, rig }, use);
  const lane = new RigLane(to, bench, new Map(), { guard });
  try {
    const found: LinkTiming[] = [];
    for (const link of task.links)
      found.push(await learnTiming(link, { ...files, rig }, task, lane, use.signal));
    return found;
  } catch (error) {
    throw error instanceof BenchError ? benchComplaint(error) : error;
  } finally {
    await lane.safe();
    await lane.close();
    await release();
  }
}
