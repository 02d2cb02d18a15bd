import { expect, test } from 'vitest';
import { heartbeatBytes } from '../../../../drivers/plant/firmware/heartbeat.ts';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { buildSource } from '../../../firmware/build-firmware.ts';
import {
  call,
  mean,
  recorded,
  signal,
  type TestBench,
  testBench,
} from '../instruments/test-bench.ts';

const watchful = await loadFirmware(buildSource('sources/watchful.c'), 'watchful.wasm');

/** Mean current of a channel over the next milliseconds, A. */
const current = async (bench: TestBench, channel: number): Promise<number> =>
  mean(await recorded(bench, `current-${channel}`, 1e4, 0.02));

test('idle firmware sees a dip of the supply at its next tick, and its end', async () => {
  const bench = await testBench({ firmware: watchful });
  const { clock } = bench.bench;
  const pass = (seconds: number) => clock.waitUntil(clock.now() + seconds, signal);
  expect(await current(bench, 1)).toBeCloseTo(0.5, 2);
  await bench.supply.set({ volts: 45 }, call);
  await pass(0.001);
  expect(await current(bench, 1)).toBeCloseTo(0.125, 2);
  await bench.supply.set({ volts: 48 }, call);
  await pass(0.001);
  expect(await current(bench, 1)).toBeCloseTo(0.5, 2);
});

test('idle firmware sees its lamp grow warm, while it grows warm', async () => {
  const bench = await testBench({ firmware: watchful });
  expect(await current(bench, 2)).toBeCloseTo(0.5, 2);
  await bench.bench.clock.waitUntil(300, signal);
  expect(await current(bench, 2)).toBeCloseTo(0.125, 2);
});

test('a long rest costs few ticks', async () => {
  const heartbeat = new SharedArrayBuffer(heartbeatBytes);
  const calls = () => new Int32Array(heartbeat)[1] ?? 0;
  const { bench } = await testBench({ firmware: watchful, heartbeat });
  await bench.clock.waitUntil(1800, signal);
  const settled = calls();
  // One for each look at heat and rail, 6 a second, instead of 1,000 a second.
  expect(settled).toBeGreaterThan(1000);
  expect(settled).toBeLessThan(12_000);
  await bench.clock.waitUntil(36_000, signal);
  expect(calls() - settled).toBeLessThan(10);
});
