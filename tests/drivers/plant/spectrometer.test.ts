import { describe, expect, it } from 'vitest';
import { meanTristimulus } from '../../../drivers/plant/instruments/mean-tristimulus.ts';
import { metamerOf } from '../../../drivers/plant/optics/metamer.ts';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { usualSpectrometer } from '../../../drivers/plant/plant-driver.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { xyzToXy } from '../../../harness/measure/colorimetry/chromaticity.ts';
import { spectrumTristimulus } from '../../../harness/measure/colorimetry/spectrum-tristimulus.ts';
import { colourInstrument, readColour } from '../../../harness/run/take/read-colour.ts';
import { lamp, simulatedRig } from '../conformance/shipped-bench.ts';

const call = { signal: new AbortController().signal, deadline: 5 };

/** The simulated rig with a spectrometer in place of its colour sensor. */
const rig: Rig = {
  ...simulatedRig,
  instruments: [
    ...simulatedRig.instruments,
    {
      name: 'spectrometer',
      driver: 'plant',
      identity: {},
      limits: {},
      settings: usualSpectrometer,
      deadline: 5,
      retries: 0,
    },
  ],
  wiring: simulatedRig.wiring.map((wire) =>
    wire.signal === 'colour' ? { ...wire, instrument: 'spectrometer' } : wire,
  ),
};

const mixes = Object.values(lamp.mixes);

/** What the spectrometer of a lamp of this seed says of a mix, and how far that is from the truth. */
async function errorOf(seed: number, mix: (typeof mixes)[number]) {
  const bench = await openPlantBench({ lamp, rig, seed, lampSeed: seed, faults: [] });
  const supply = bench.instruments.get('supply');
  const link = bench.instruments.get('console');
  if (supply?.kind !== 'supply' || link?.kind !== 'lamp-link') throw new Error('expected both');
  await supply.set({ volts: 48 }, call);
  await supply.output(true, call);
  await bench.clock.waitUntil(0.5, call.signal);
  const intensities = Object.fromEntries(
    lamp.channels.map(({ channel }) => [channel, mix[channel] ?? 0]),
  );
  await link.set({ level: 1, intensities }, call);
  await bench.clock.waitUntil(1, call.signal);
  const instrument = colourInstrument(bench, 'spectrometer');
  const { reading } = await readColour(instrument, { integration: 0.5 }, call);
  const { standardXy = 0 } = reading;
  const own = xyzToXy(reading);
  const parts = (instrument as unknown as { parts: Parameters<typeof meanTristimulus>[0] }).parts;
  const wire = rig.wiring.find(({ signal }) => signal === 'colour');
  if (!wire) throw new Error('expected a wire');
  const truth = xyzToXy(meanTristimulus({ ...parts, rig, wire }, 1, 0.5));
  await bench.close();
  return { x: own.x - truth.x, y: own.y - truth.y, standardXy };
}

describe('the simulated spectrometer', () => {
  it('sees a spectrum that has the colour of the lamp', () => {
    const spectrum = metamerOf(40, 35, 12);
    if (!spectrum) throw new Error('expected a spectrum');
    const { X, Y, Z } = spectrumTristimulus(spectrum);
    expect([X, Y, Z].map((value) => Number(value.toPrecision(6)))).toEqual([40, 35, 12]);
  });

  it('states an uncertainty that holds the truth', { timeout: 60_000 }, async () => {
    let [held, all, widest] = [0, 0, 0];
    for (let seed = 1; seed <= 15; seed++)
      for (const mix of mixes) {
        const { x, y, standardXy } = await errorOf(seed, mix);
        for (const error of [x, y]) {
          all++;
          if (Math.abs(error) <= 2 * standardXy) held++;
          widest = Math.max(widest, standardXy);
        }
      }
    expect(held / all).toBeGreaterThanOrEqual(0.95);
    // No better than it is, and no worse: wavelengths of 0.2 nm are worth about 0.001.
    expect(widest).toBeGreaterThan(2e-4);
    expect(widest).toBeLessThan(5e-3);
  });
});
