import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildProgram, evenfall } from './program.ts';
import { desk } from './small-specs.ts';

beforeAll(() => {
  buildProgram();
});

/** A claim that says nothing about fades: the search alone has to find them. */
const glows = `spec: glows
claim: It glows.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 100 ms
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: dropouts, of: light, at-most: 0 }
`;
const search = ['explore', 'specs', '--jobs', '1', '--first', '--sequences', '400'];

describe('evenfall explore', () => {
  it('keeps what it found as a spec that fails with the fault, and passes without', async () => {
    const cwd = desk({ 'specs/glows.spec.yaml': glows });
    const found = await evenfall([...search, '--fault', 'fade-cut-short'], { cwd });
    expect(found.exitCode, found.stderr).toBe(1);
    expect(found.stdout).toContain('explored/explored-1-1.spec.yaml');
    expect(readdirSync(join(cwd, 'explored')).sort()).toEqual([
      'explored-1-1.spec.yaml',
      'sequences.json',
    ]);
    const run = ['run', 'explored'];
    expect((await evenfall([...run, '--fault', 'fade-cut-short'], { cwd })).exitCode).toBe(1);
    expect((await evenfall(run, { cwd })).exitCode).toBe(0);
    const again = [...search, '--from', 'explored', '--fault', 'fade-cut-short'];
    expect((await evenfall(again, { cwd })).exitCode).toBe(1);
  });

  it.each([
    [['--brightest', '120 %'], 64, 'at most 100 %'],
    [['--brightest', '30 %', '--longest', 'long'], 64, '--longest'],
    [['--longest', 'long'], 64, 'time'],
    [['--from', 'nowhere'], 66, 'nowhere'],
  ])('refuses %j', async (args, exitCode, words) => {
    const cwd = desk({ 'specs/glows.spec.yaml': glows });
    const refused = await evenfall([...search, ...args], { cwd });
    expect(refused.exitCode).toBe(exitCode);
    expect(refused.stderr).toContain(words);
  });
});
