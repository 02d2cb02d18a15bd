import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { BenchError } from '../../../harness/bench/errors.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { bareLamp, call, perfectRig, signal, testBench } from './instruments/test-bench.ts';

const noisyRig: Rig = {
  ...perfectRig,
  wiring: perfectRig.wiring.map((wire) => ({
    ...wire,
    noise: 1e-3,
    standardScale: 0.01,
    bits: 16,
  })),
};

/** A fade by the reference firmware, recorded on every kind of instrument; a digest of all bytes. */
async function digest(seed: number, lampSeed: number): Promise<string> {
  const { bench, digitiser, sensor, camera, console } = await testBench({
    rig: noisyRig,
    seed,
    lampSeed,
  });
  const inputs = ['light', 'current-1', 'current-2', 'supply-current', 'sync', 'busy'];
  const setup = { inputs: inputs.map((input) => ({ input })), rate: 20e3, duration: 0.6 };
  const { finished } = await digitiser.arm(setup, call);
  await console.set({ level: 1, intensities: { warm: 1, red: 0.5 } }, call);
  await console.fade({ level: 0.01, intensities: { warm: 0.2, red: 1 } }, 0.3, call);
  const colour = sensor.read({ integration: 0.1 }, call);
  await bench.clock.waitUntil(0.7, signal);
  const frame = await camera.shoot({ exposure: 0.004, frameRate: 25 }, call);
  const hash = createHash('sha256');
  for (const { codes, scale, start } of await finished) {
    hash.update(new Uint8Array(codes.buffer)).update(`${scale} ${start}`);
  }
  hash.update(JSON.stringify(await colour)).update(new Uint8Array(frame.rows.buffer));
  hash.update(JSON.stringify(bench.notes));
  await bench.close();
  return hash.digest('hex');
}

describe('The simulated bench', () => {
  it('gives the same bytes for the same seeds, side by side or one after another, and others for others', async () => {
    const [first, second] = await Promise.all([digest(7, 3), digest(7, 3)]);
    expect(second).toBe(first);
    expect(await digest(7, 3)).toBe(first);
    expect(await digest(8, 3)).not.toBe(first);
    expect(await digest(7, 4)).not.toBe(first);
  });

  it('has every instrument of the rig under its name, each saying who the rig file expects', async () => {
    const { bench } = await testBench();
    expect([...bench.instruments.keys()]).toEqual(perfectRig.instruments.map(({ name }) => name));
    for (const [name, instrument] of bench.instruments) {
      expect(instrument.name).toBe(name);
      expect(instrument.driver).toBe('plant');
      expect((await instrument.identify(call)).raw).not.toBe('');
    }
  });

  it('powers a lamp whose rig has no supply from the start', async () => {
    const { supply: _, ...without } = perfectRig;
    const rig: Rig = {
      ...without,
      instruments: perfectRig.instruments.filter(({ name }) => name !== 'supply'),
    };
    const bench = await openPlantBench({ lamp: bareLamp, rig, seed: 1, lampSeed: 1, faults: [] });
    await bench.clock.waitUntil(0.1, signal);
    const link = bench.instruments.get('console');
    if (link?.kind !== 'lamp-link') throw new Error('console expected');
    expect(await link.send({ link: 'console', line: 'who' }, call)).toMatchObject({ text: /bare/ });
    await bench.close();
  });

  it('refuses in a sentence a rig that the lamp cannot be wired to, and a fault that does not exist', async () => {
    const opened = (rig: Rig, faults: { fault: string; size: number }[] = []) =>
      openPlantBench({ lamp: bareLamp, rig, seed: 1, lampSeed: 1, faults });
    const withLink = (link: string): Rig => ({
      ...perfectRig,
      instruments: perfectRig.instruments.map((one) => ({
        ...one,
        settings: { kind: 'lamp-link', link },
      })),
    });
    await expect(opened(withLink('dali'))).rejects.toThrow(
      /carries link dali, which lamp bare does not have \(it has console\)/,
    );
    const real = perfectRig.instruments.map((one) => ({ ...one, driver: 'scpi' }));
    await expect(opened({ ...perfectRig, instruments: real })).rejects.toThrow(
      /rig perfect has real instruments/,
    );
    await expect(opened(perfectRig, [{ fault: 'no-such', size: 1 }])).rejects.toBeInstanceOf(
      BenchError,
    );
  });
});
