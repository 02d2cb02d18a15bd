import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { powerUp } from '../../../harness/run/condition/power-up.ts';
import { askLamp } from '../../../harness/workflow/rig/ask-lamp.ts';
import { writeRig } from '../../cli/emulated-rig.ts';
import { evenfall } from '../../cli/program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from '../../cli/small-specs.ts';
import { lamp } from '../../drivers/conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from '../../drivers/emulate/open-test-bench.ts';
import { trouble } from './run-claim.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

/** Asks the lamp of the emulated bench who it is. */
async function ask(...troubles: Parameters<Emulation['troubles']['set']>[0]) {
  const rig = rigFor(emulation);
  const bench = await openRig({ rig, lamp, folder: resolve('specs/rigs') });
  const { signal } = new AbortController();
  try {
    await powerUp(bench, rig, lamp, signal);
    emulation.troubles.set(troubles);
    return await askLamp(bench, rig, signal);
  } finally {
    emulation.troubles.set([]);
    await bench.close();
  }
}

describe('the lamp says who it is before the first claim', () => {
  it('on its console and from its memory bank 0', { timeout: 60_000 }, async () => {
    const [console, dali, ...others] = await ask();
    expect(others).toEqual([]);
    expect(console).toMatchObject({
      link: 'console',
      identity: { maker: 'Halden Display Lighting', model: 'alcove-6', firmware: '1.0.0' },
    });
    expect(dali).toMatchObject({ link: 'dali', identity: { serial: '1', firmware: '1.0' } });
  });

  it.each(['twin', 'twin-unseen'] as const)(
    'two gears at its short address: refused (%s)',
    { timeout: 60_000 },
    async (kind) => {
      await expect(ask(trouble(kind, 'dali'))).rejects.toMatchObject({ kind: 'collision' });
    },
  );

  it('cut off behind the bridge: told of, not refused', { timeout: 60_000 }, async () => {
    const words = await ask(trouble('cut', 'dali'));
    expect(words[1]).toEqual({ link: 'dali', identity: null, trouble: 'timeout', expected: false });
  });
});

describe('a run on a rig', () => {
  const files = { 'specs/dims.spec.yaml': dimmingSpec('dims', ['60 %'], '', '250 ms') };
  function run(...options: string[]) {
    const cwd = desk(files);
    const env = { EVENFALL_LOCKS: join(cwd, 'locks') };
    const args = ['run', 'specs', '--rig', writeRig(emulation, cwd), ...options];
    return evenfall(args, { cwd, env }).then((ended) => ({ ...ended, cwd }));
  }

  it('is refused where the lamp has another firmware', { timeout: 120_000 }, async () => {
    const { exitCode, stderr } = await run('--build', '9.9.9');
    expect(stderr).toMatch(
      /the lamp says firmware 1\.0\.0 on console, but --build says 9\.9\.9; .*Nothing was run/,
    );
    expect(exitCode).toBe(69);
    expect(emulation.live.on).toBe(false);
  });

  it('records what the lamp said, and what it cannot confirm', { timeout: 120_000 }, async () => {
    const { exitCode, stderr, cwd } = await run('--build', 'nightly', '--serial', 'HD-7');
    expect(exitCode, stderr).toBe(0);
    const { lamp: tested, deviations } = recordIn(runsIn(cwd)[0] ?? '');
    expect(tested).toMatchObject({ build: 'nightly', serial: 'HD-7' });
    expect(tested.says?.map(({ link, firmware }) => [link, firmware])).toEqual([
      ['console', '1.0.0'],
      ['dali', '1.0'],
    ]);
    expect(deviations.map(({ text }) => text)).toEqual([
      'the lamp cannot confirm firmware nightly of --build: on console it says 1.0.0, on dali it says 1.0',
      'the lamp cannot confirm serial HD-7 of --serial: on dali it says 1',
    ]);
  });
});
