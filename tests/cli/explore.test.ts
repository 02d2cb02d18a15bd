import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { evenfall, Running } from './program.ts';
import { desk } from './small-specs.ts';

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
    const more = await evenfall(again, { cwd });
    expect(more.exitCode).toBe(1);
    // With another seed: it draws what the first search did not, and leaves its specs alone.
    expect(more.stdout).toContain('explored/explored-2-1.spec.yaml');
    expect(readdirSync(join(cwd, 'explored'))).toContain('explored-1-1.spec.yaml');
  });

  it('keeps its sequences when it is stopped, and goes on from there', async () => {
    const cwd = desk({ 'specs/glows.spec.yaml': glows });
    const running = new Running(['explore', 'specs', '--jobs', '1', '--for', '10 min'], { cwd });
    await running.until((_, stderr) => /[1-9]\d* sequences/.test(stderr));
    running.child.kill('SIGINT');
    const stopped = await running.ended;
    expect(stopped.stdout).toMatch(/\d+ sequences? in /);
    const kept = JSON.parse(readFileSync(join(cwd, 'explored/sequences.json'), 'utf8'));
    expect(kept.seed).toBe(1);
    expect(kept.sequences.length).toBeGreaterThan(0);
    const on = ['explore', 'specs', '--jobs', '1', '--sequences', '3', '--from', 'explored'];
    const { exitCode, stderr } = await evenfall(on, { cwd });
    expect(exitCode, stderr).toBe(0);
    expect(JSON.parse(readFileSync(join(cwd, 'explored/sequences.json'), 'utf8')).seed).toBe(2);
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
