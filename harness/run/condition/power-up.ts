import type { Lamp } from '../../bench/lamp.ts';
import type { OpenBench } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import { switchOf } from '../power/lamp-power.ts';
import { callOn, supplyOf } from './stimulus.ts';

/** Nominal supply on, the switch closed, then the lamp's start-up time. A rig with neither has its lamp powered already. */
export async function powerUp(
  bench: OpenBench,
  rig: Rig,
  lamp: Lamp,
  signal: AbortSignal,
): Promise<void> {
  if (rig.supply) {
    const supply = supplyOf(bench, rig);
    const call = callOn({ rig, signal }, supply.name);
    await supply.set({ volts: lamp.supply.nominal, limitAmps: rig.supply.highestAmps }, call);
    await supply.output(true, call);
  }
  const relay = switchOf(bench, rig);
  await relay?.output(true, callOn({ rig, signal }, relay.name));
  await bench.clock.waitUntil(bench.clock.now() + lamp.startUp, signal);
}
