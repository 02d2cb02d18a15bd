import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const root = join(import.meta.dirname, '../..');

it('starts its workers from the sources, where no program was built of them', () => {
  const cwd = desk({ 'specs/dims.spec.yaml': dimmingSpec('dims', ['50 %']) });
  const { EVENFALL_PROGRAM: _, ...env } = process.env;
  const loader = import.meta.resolve('tsx');
  const args = ['--import', loader, join(root, 'harness/cli/main.ts'), 'run', 'specs'];
  const { status, stdout, stderr } = spawnSync(process.execPath, [...args, '--jobs', '1'], {
    ...{ cwd, env, encoding: 'utf8' },
  });
  expect(status, stdout + stderr).toBe(0);
  expect(recordIn(runsIn(cwd)[0] ?? '')).toMatchObject({ verdict: 'pass' });
});
