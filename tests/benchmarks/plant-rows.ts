import { openPlantBench } from '../../drivers/plant/plant-bench.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { powerUp } from '../../harness/run/condition/power-up.ts';
import { inTurn, type Row, timed } from './row.ts';
import { shippedLamp, shippedRig } from './shipped.ts';

const { signal } = new AbortController();
const call = { signal, deadline: 600 };

/** Light of nine channels mixed on the photodiode, 180 s at 20 kS/s: seconds that the simulation takes. */
export async function recordLight({
  clock = 1e6,
  length = 180,
  channels = 9,
  fading = false,
} = {}): Promise<number> {
  const nine = shippedLamp('alcove-9');
  const lamp: Lamp = {
    ...nine,
    channels: nine.channels.slice(0, channels),
    modulation: { kind: 'pulse-density', bits: 16, clock },
  };
  const rig = shippedRig();
  const bench = await openPlantBench({ lamp, rig, seed: 1, lampSeed: 1, faults: [] });
  const digitiser = bench.instruments.get('digitiser');
  const console = bench.instruments.get('console');
  if (digitiser?.kind !== 'digitiser' || console?.kind !== 'lamp-link')
    throw new Error('the shipped rig has a digitiser and a console');
  await powerUp(bench, rig, lamp, signal);
  const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 0.5]));
  await console.set({ level: 0.3, intensities }, call);
  const took = await timed(async () => {
    const setup = { inputs: [{ input: 'light' }], rate: 20e3, duration: length };
    const { finished } = await digitiser.arm(setup, call);
    if (fading) await console.fade({ level: 0.001, intensities }, length, call);
    await bench.clock.waitUntil(bench.clock.now() + length, signal);
    await finished;
  });
  await bench.close();
  return took;
}

export async function plantRows(runs: number): Promise<Row[]> {
  await recordLight();
  const plain = await inTurn(
    runs,
    () => recordLight(),
    () => 180,
  );
  const fast = await inTurn(
    runs,
    () => recordLight({ clock: 10e6 }),
    () => recordLight(),
  );
  const fade = await inTurn(
    runs,
    () => recordLight({ fading: true }),
    () => recordLight(),
  );
  return [
    {
      name: 'plant: light of 9 channels, bit clock 1 MHz, 180 s at 20 kS/s, one core',
      unit: 's',
      ...plain,
      yardstick: 'lamp time',
      kind: 'speed',
      goal: 1000,
    },
    {
      name: 'plant: the same at a bit clock of 10 MHz',
      unit: 's',
      ...fast,
      yardstick: 'the same at 1 MHz',
      kind: 'cost',
      goal: 1.1,
    },
    {
      name: 'plant: the same in mid-fade with dithering',
      unit: 's',
      ...fade,
      yardstick: 'the same at constant level',
      kind: 'cost',
      goal: 2,
    },
  ];
}
