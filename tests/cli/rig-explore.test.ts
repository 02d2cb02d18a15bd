import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openTestEmulation } from '../drivers/emulate/open-test-bench.ts';
import { outputIsOn, writeRig } from './emulated-rig.ts';
import { evenfall } from './program.ts';
import { desk } from './small-specs.ts';

/** Searches on an emulated bench whose lamp has a fault. */
async function exploreRig(faults: readonly { fault: string; size: number }[], args: string[]) {
  const emulation = await openTestEmulation({ faults });
  try {
    const cwd = desk({});
    const rig = writeRig(emulation, cwd);
    const env = { EVENFALL_LOCKS: join(cwd, 'locks') };
    const ended = await evenfall(['explore', '--rig', rig, ...args], { cwd, env });
    return { ...ended, cwd, isOn: await outputIsOn(emulation) };
  } finally {
    await emulation.close();
  }
}

describe('evenfall explore on a rig', () => {
  it('finds what a lamp does otherwise, keeps it as a spec, and leaves the lamp dark', {
    timeout: 400_000,
  }, async () => {
    const { exitCode, stdout, stderr, cwd, isOn } = await exploreRig(
      [{ fault: 'swapped-channels', size: 1 }],
      ['--first', '--for', '2 min'],
    );
    expect(exitCode, stdout + stderr).toBe(1);
    const spec = readFileSync(join(cwd, 'explored/explored-1-1.spec.yaml'), 'utf8');
    expect(spec).toContain('metric: time-outside-model');
    expect(isOn).toBe(false);
  });

  it('has nothing against a healthy lamp', { timeout: 400_000 }, async () => {
    const { exitCode, stdout, stderr } = await exploreRig([], ['--sequences', '3']);
    expect(exitCode, stdout + stderr).toBe(0);
    expect(stdout).toContain('3 sequences');
  });

  it.each([
    ['--fault', 'linear-dimming'],
    ['--jobs', '2'],
  ])('refuses %s, which only the simulated lamp can have', async (option, value) => {
    const { exitCode, stderr } = await exploreRig([], [option, value]);
    expect(exitCode).toBe(64);
    expect(stderr).toContain(option);
  });
});
