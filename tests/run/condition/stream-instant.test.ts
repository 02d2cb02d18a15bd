import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { driverSettings } from '../../../drivers/registry.ts';
import { readRig } from '../../../harness/bench/rig-file.ts';
import { runCondition } from '../../../harness/run/condition/run-condition.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { alcove as lamp } from '../../drivers/plant/firmware/alcove.ts';

const file = 'specs/control/latency.spec.yaml';
const text = readFileSync('specs/rigs/simulated.rig.yaml', 'utf8');
const read = readRig(text, 'rig', driverSettings);
if (!('rig' in read)) throw new Error('the shipped rig is bad');
const { rig } = read;

/** The shipped claim of latency on one link, with the sync pin recorded or not. */
async function latency(link: string, { pin }: { readonly pin: boolean }) {
  const whole = readFileSync(file, 'utf8');
  const spec = pin ? whole : whole.replace(/\n.*signal: sync.*\n/, '\n');
  const parsed = readSpec(spec, { file, folder: 'control', digest: '0'.repeat(64), lamp });
  if (!('plan' in parsed)) throw new Error(parsed.issues.map(({ message }) => message).join());
  const condition = parsed.plan.conditions.find(({ values }) => values['link'] === link);
  if (!condition) throw new Error(`no condition for ${link}`);
  const own = { spec: 'latency', condition, position: 1, repeat: 0, lamp, rig };
  const { condition: done } = await runCondition(
    { ...own, seed: 1, lampSeed: 1, faults: [] },
    () => openPlantBench({ lamp, rig, seed: 1, lampSeed: 1, faults: [] }),
    new AbortController().signal,
    { wallNow: () => '2026-01-01T00:00:00Z' },
  );
  const outcome = done.findings[0]?.outcome;
  if (!outcome?.measured) throw new Error(done.reason ?? 'nothing was measured');
  return { value: outcome.value, standard: done.commands.at(-1)?.standardInstant ?? 0 };
}

/**
 * The frame of the Alcove-6 has 14 slots: break 176 µs, mark 12 µs, 15 slots of 44 µs (ANSI E1.11), 0.848 ms. The lamp then
 * glides over the time between two frames, 25 ms, straight along its curve from 1 to 0.1: the middle, 0.55, comes after
 * log10(1 / 0.55) = 0.2596 of it (computed), 6.49 ms.
 */
const frame = 0.848e-3;
const glide = 25e-3 * Math.log10(1 / 0.55);

it('DMX512 counts from the beginning of the frame with the new value', async () => {
  const { value, standard } = await latency('dmx', { pin: false });
  expect(value).toBeGreaterThan(glide + frame - 1e-3);
  expect(value).toBeLessThan(glide + frame + 1e-3);
  expect(standard).toBeCloseTo(frame / Math.sqrt(3), 9);
});

it('sACN counts from when the packet left', async () => {
  const { value } = await latency('sacn', { pin: false });
  expect(value).toBeGreaterThan(0);
  expect(value).toBeLessThan(2e-3);
});

it.each([
  ['dmx', glide],
  ['sacn', 0],
])(
  '%s: the pulse of the sync pin is the one of that frame, not of the next',
  async (link, late) => {
    const { value } = await latency(link, { pin: true });
    expect(Math.abs(value - late)).toBeLessThan(1.5e-3);
  },
);
