import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { driverSettings } from '../../../drivers/registry.ts';
import { darkNoiseOf } from '../../../harness/bench/dark-record.ts';
import { readRig } from '../../../harness/bench/rig-file.ts';
import { deviates } from '../../../harness/measure/signal/deviates.ts';
import { addSlowNoise } from '../../../harness/measure/signal/slow-noise.ts';
import { changeCalibration } from '../../../harness/workflow/rig/change-calibration.ts';
import { darkSpectrum } from '../../../harness/workflow/rig/dark-spectrum.ts';

const text = readFileSync('specs/rigs/simulated.rig.yaml', 'utf8');

function lightOf(file: string) {
  const read = readRig(file, 'a.rig.yaml', driverSettings);
  if ('issues' in read) throw new Error(JSON.stringify(read.issues));
  const light = read.rig.wiring.find(({ signal }) => signal === 'light');
  if (!light) throw new Error('no light');
  return light;
}

it('finds hum, falling noise, white noise and drift in the dark, and the rig file gives them back', () => {
  const rate = 10_000;
  const samples = deviates(10 * rate, 3, 0).map(
    (value, k) =>
      0.02 * value +
      0.005 * Math.sin((2 * Math.PI * 50 * k) / rate) +
      0.002 * Math.sin((2 * Math.PI * 150 * k) / rate + 1) +
      (0.04 * k) / (10 * rate),
  );
  // Falling noise that meets the white noise at 8 Hz: power 2 x 0.02² / 10 kHz x 8 Hz.
  const slow = (2 * 0.02 ** 2 * 8) / rate;
  addSlowNoise(samples, slow, 9);
  const record = { samples, rate, start: 0, unit: 'lx', clipped: 0 } as const;
  const dark = darkSpectrum(record, lightOf(text), '2026-11-28');
  const wire = { signal: 'light', of: 'all', instrument: 'digitiser' } as const;
  const written = changeCalibration(text, wire, { dark }, { date: '2026-11-28' });
  const found = lightOf(written).dark;
  expect(found).toMatchObject({ date: '2026-11-28', length: 10, rate });
  expect(found?.noise).toBeCloseTo(0.02, 3);
  expect(found?.drift).toBeGreaterThan(0.02);
  expect(found?.drift).toBeLessThan(0.06);
  expect(found?.lines.map(({ frequency }) => Math.round(frequency))).toEqual([50, 150]);
  expect(found?.lines[0]?.amplitude).toBeCloseTo(0.005, 3);
  expect(found?.lines[1]?.amplitude).toBeCloseTo(0.002, 3);
  const back = found && darkNoiseOf(found);
  expect((back?.slow ?? 0) / slow).toBeGreaterThan(0.5);
  expect((back?.slow ?? 0) / slow).toBeLessThan(2);
  expect(back?.drift).toBeCloseTo(0.004, 2);
});

it('says where a line of the dark record cannot be read', () => {
  const wrong = text.replace(
    'noise: 20 mlx }',
    'noise: 20 mlx, lines: [{ frequency: 50 Hz, amplitude: 2 mA }] }',
  );
  const read = readRig(wrong, 'a.rig.yaml', driverSettings);
  if (!('issues' in read)) throw new Error('read');
  expect(read.issues[0]?.message).toMatch(/expected an illuminance.*mA is a unit of current/);
});
