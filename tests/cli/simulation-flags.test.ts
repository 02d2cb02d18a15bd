import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { simulationFlags } from '../../harness/cli/running/simulation-flags.ts';

describe("V8's flags for the simulated lamp", () => {
  it('are none on newer versions of Node', () => {
    for (const version of ['22.3.0', '24.0.0', '200.0.0'])
      expect(simulationFlags(version)).toEqual([]);
    expect(simulationFlags('20.19.0')).not.toEqual([]);
  });

  // An unknown flag is a warning on stderr, and has no effect.
  it('are known to this Node', () => {
    const flags = simulationFlags(process.versions.node);
    const script = `for (const flag of ${JSON.stringify(flags)}) require('node:v8').setFlagsFromString(flag);`;
    const { status, stderr, stdout } = spawnSync(process.execPath, ['-e', script], {
      encoding: 'utf8',
    });
    expect({ status, stderr, stdout }).toEqual({ status: 0, stderr: '', stdout: '' });
  });
});
