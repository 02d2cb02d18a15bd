import { callOf, type HeartbeatEntry } from '../../../drivers/plant/firmware/heartbeat.ts';
import { CallWatch, lookEvery } from '../lanes/call-watch.ts';

/** Calls `hung` once where firmware does not come back from a call although it has a processor. Whoever asks clears the timer. */
export function onHang(
  heartbeat: SharedArrayBuffer,
  hung: (entry: HeartbeatEntry) => void,
): NodeJS.Timeout {
  const watch = new CallWatch();
  const timer = setInterval(() => {
    const call = callOf(heartbeat);
    const { user, system } = process.cpuUsage();
    const at = performance.now();
    const processor = (user + system) / 1000;
    if (!watch.spins({ call: call?.number ?? null, at, processor }) || !call) return;
    clearInterval(timer);
    hung(call.entry);
  }, lookEvery);
  return timer;
}
