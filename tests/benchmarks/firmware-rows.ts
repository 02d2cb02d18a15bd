import type { FirmwareImage } from '../../drivers/plant/firmware/firmware-image.ts';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openPlantBench } from '../../drivers/plant/plant-bench.ts';
import { powerUp } from '../../harness/run/condition/power-up.ts';
import { buildAlcove, buildAlcoveMainLoop } from '../firmware/build-firmware.ts';
import { inTurn, type Missing, type Row, timed } from './row.ts';
import { shippedLamp, shippedRig } from './shipped.ts';

const { signal } = new AbortController();
const call = { signal, deadline: 600 };
/** s of lamp time, all of it in a fade: the firmware has its tick every millisecond. */
const length = 120;

/** Seconds that a fade of all channels takes, without a record: what is left is the firmware. */
async function fade(firmware?: FirmwareImage): Promise<number> {
  const [lamp, rig] = [shippedLamp('alcove-6'), shippedRig()];
  const bench = await openPlantBench({ lamp, rig, seed: 1, lampSeed: 1, faults: [], firmware });
  const console = bench.instruments.get('console');
  if (console?.kind !== 'lamp-link') throw new Error('the shipped rig has a console');
  await powerUp(bench, rig, lamp, signal);
  const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 0.5]));
  await console.set({ level: 1, intensities }, call);
  const took = await timed(async () => {
    await console.fade({ level: 0.001, intensities }, length, call);
    await bench.clock.waitUntil(bench.clock.now() + length, signal);
  });
  await bench.close();
  return took;
}

/** Firmware of a user's in WebAssembly: driven by ticks, by a main loop, and with its instructions counted. */
export async function firmwareRows(runs: number): Promise<(Row | Missing)[]> {
  try {
    const ticks = await loadFirmware(buildAlcove(), 'alcove');
    const looping = await loadFirmware(buildAlcoveMainLoop(), 'alcove');
    const counted = await loadFirmware(buildAlcove(), 'alcove', { counted: true });
    // Once for the compiler of the engine.
    for (const image of [ticks, looping, counted]) await fade(image);
    const beside = (image: FirmwareImage, other: () => Promise<number> | number) =>
      inTurn(runs, () => fade(image), other);
    const shared = { unit: 's' as const, goal: null };
    return [
      {
        ...shared,
        name: `firmware in C, driven by ticks: a fade of ${length} s on 6 channels`,
        ...(await beside(ticks, () => length)),
        yardstick: 'lamp time',
        kind: 'speed',
      },
      {
        ...shared,
        name: 'firmware in C: the same with a main loop',
        ...(await beside(looping, () => fade(ticks))),
        yardstick: 'the same by ticks',
        kind: 'cost',
      },
      {
        ...shared,
        name: 'firmware in C, driven by ticks: the same with its instructions counted',
        ...(await beside(counted, () => fade(ticks))),
        yardstick: 'the same uncounted',
        kind: 'cost',
      },
      {
        ...shared,
        name: 'firmware in C, driven by ticks: the same',
        ...(await beside(ticks, () => fade())),
        yardstick: 'the built-in firmware',
        kind: 'cost',
      },
    ];
  } catch (error) {
    return [{ name: 'firmware in C', missing: (error as Error).message }];
  }
}
