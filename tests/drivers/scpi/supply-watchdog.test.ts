import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import type { Supply } from '../../../harness/bench/ports.ts';
import { outputIsOn } from '../../cli/emulated-rig.ts';
import { openInstrument, openTestEmulation, rigFor } from '../emulate/open-test-bench.ts';

const call = { signal: new AbortController().signal, deadline: 5 };

/** The emulated supply with a watchdog of 2 s. */
async function openSupply() {
  const emulation = await openTestEmulation();
  const rig = rigFor(emulation);
  const profile = join(mkdtempSync(join(tmpdir(), 'evenfall-watchdog-')), 'p60.yaml');
  const text = readFileSync('specs/rigs/tarn-p60.profile.yaml', 'utf8');
  writeFileSync(profile, text.replace('time: 20 s', 'time: 2 s'));
  const instruments = rig.instruments.map((each) =>
    each.name === 'supply'
      ? { ...each, settings: { ...(each.settings as object), profile } }
      : each,
  );
  const supply = (await openInstrument({ ...rig, instruments }, 'supply')) as Supply;
  return { emulation, supply };
}

it('keeps the lamp lit while its driver lives, and dark in time when that is gone', async () => {
  const { emulation, supply } = await openSupply();
  try {
    await supply.set({ volts: 48 }, call);
    await supply.output(true, call);
    await pause(4000);
    expect(await outputIsOn(emulation)).toBe(true);
    // Gone without a word: nothing is sent any more.
    await supply.close();
    expect(await outputIsOn(emulation)).toBe(true);
    await pause(2800);
    expect(await outputIsOn(emulation)).toBe(false);
  } finally {
    await emulation.close();
  }
});

it('is stopped with the output, and does not act after it', async () => {
  const { emulation, supply } = await openSupply();
  try {
    await supply.set({ volts: 48 }, call);
    await supply.output(true, call);
    await supply.output(false, call);
    await supply.clear?.(call);
    await pause(2500);
    expect(await supply.read(call)).toMatchObject({ on: false, protections: [] });
  } finally {
    await supply.close();
    await emulation.close();
  }
});

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
