import { callOf, type HeartbeatEntry } from '../../../drivers/plant/firmware/heartbeat.ts';

/** Wall clock that firmware may stay inside one call before it counts as hanging, s. */
export const longestCall = 1;
/** ms from look to look. */
const lookEvery = 100;

/** Calls `hung` once where firmware does not come back from a call. Whoever asks clears the timer. */
export function onHang(
  heartbeat: SharedArrayBuffer,
  hung: (entry: HeartbeatEntry) => void,
): NodeJS.Timeout {
  let [last, since] = [-1, performance.now()];
  const timer = setInterval(() => {
    const call = callOf(heartbeat);
    if (!call || call.number !== last) {
      [last, since] = [call?.number ?? -1, performance.now()];
    } else if (performance.now() - since > 1000 * longestCall) {
      clearInterval(timer);
      hung(call.entry);
    }
  }, lookEvery);
  return timer;
}
