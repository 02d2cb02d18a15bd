import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { engineFlags } from '../../harness/cli/common/engine-flags.ts';

describe("V8's flags", () => {
  it('leave a command that lasts to newer versions of Node', () => {
    expect(engineFlags('22.3.0', false)).toEqual([]);
    expect(engineFlags('24.0.0', false)).toEqual([]);
    expect(engineFlags('200.0.0', false)).toEqual([]);
    expect(engineFlags('20.19.0', false)).not.toEqual([]);
  });

  it('turn optimising off where a command ends before it pays', () => {
    for (const version of ['20.19.0', '22.3.0'])
      expect(engineFlags(version, true)).toEqual(['--no-opt']);
  });

  // An unknown flag is a warning on stderr, and has no effect.
  it.each([true, false])('are known to this Node (short-lived: %s)', (isShortLived) => {
    const flags = engineFlags(process.versions.node, isShortLived);
    const script = `for (const flag of ${JSON.stringify(flags)}) require('node:v8').setFlagsFromString(flag);`;
    const { status, stderr, stdout } = spawnSync(process.execPath, ['-e', script], {
      encoding: 'utf8',
    });
    expect({ status, stderr, stdout }).toEqual({ status: 0, stderr: '', stdout: '' });
  });
});
