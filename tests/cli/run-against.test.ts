import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { register as compare } from '../../harness/cli/archive/compare.ts';
import { register as create } from '../../harness/cli/authoring/new.ts';
import { register as run } from '../../harness/cli/running/run.ts';
import { runCommand } from './run-command.ts';
import { runsIn } from './small-specs.ts';

const patience = { timeout: 400_000 };

let cwd: string;
beforeAll(async () => {
  cwd = mkdtempSync(join(tmpdir(), 'evenfall-builds-'));
  const made = await runCommand(create, ['firmware', 'one', '--folder', '.'], { cwd });
  if (made.exitCode !== 0) throw new Error(made.stderr);
  build('old');
  change('light.c', 'milliseconds * 1000', 'milliseconds * 1005', 'slow');
}, patience.timeout);
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

function build(name: string): void {
  execFileSync('make', ['-s', '-C', 'firmware'], { cwd, stdio: 'pipe' });
  writeFileSync(join(cwd, `${name}.wasm`), readFileSync(join(cwd, 'firmware/build/lamp.wasm')));
}

/** A build with one change, which is taken back. */
function change(file: string, from: string, to: string, name: string): void {
  const path = join(cwd, 'firmware', file);
  const text = readFileSync(path, 'utf8');
  if (!text.includes(from)) throw new Error(`${file} has no ${from}`);
  writeFileSync(path, text.replace(from, to));
  build(name);
  writeFileSync(path, text);
}

const runBoth = (own: string, ...options: readonly string[]) =>
  runCommand(run, ['specs', '--quiet', '--firmware', own, '--against', 'old.wasm', ...options], {
    cwd,
  });

describe('a run of one build against another', patience, () => {
  it('shows a fade that is half a per cent longer, though every claim passes', async () => {
    const { exitCode, stdout, stderr } = await runBoth('slow.wasm');
    expect(exitCode, stdout + stderr).toBe(0);
    const text = stdout.replace(/\s+/g, ' ');
    expect(text).toContain('Light and answers: B did otherwise than A in 2 of 2 conditions.');
    expect(text).toMatch(
      /first-fade, fade time 2 s channel-current of \w+: 0\.\d+ A where A had 0\.\d+ A, at [\d.]+ m?s \(after console fade level 1 %/,
    );
    expect(text).toMatch(/A old\.wasm: \S+ B slow\.wasm: \S+/);
  });

  it('says that there is no difference between a build and itself', async () => {
    const { exitCode, stdout } = await runBoth('old.wasm');
    expect(exitCode).toBe(0);
    expect(stdout).toContain('Light and answers: in 2 conditions B did as A, within noise.');
  });

  it('refuses what keeps no captures to compare', async () => {
    const { exitCode, stderr } = await runBoth('slow.wasm', '--captures', 'none');
    expect(exitCode).toBe(64);
    expect(stderr).toContain('--against needs all captures');
  });
});

describe('stored runs', patience, () => {
  it('are compared in light and answers too, where that is asked for', async () => {
    await runBoth('slow.wasm');
    const [a = '', b = ''] = runsIn(cwd).slice(-2);
    const { stdout } = await runCommand(compare, [a, b, '--light'], { cwd });
    expect(stdout).toContain('B did otherwise than A in 2 of 2 conditions');
    const json = await runCommand(compare, [a, b, '--light', '--json'], { cwd });
    const { light } = JSON.parse(json.stdout);
    expect(light).toMatchObject({ compared: 2, left: 0 });
    expect(light.changes[0].signals[0]).toMatchObject({ signal: 'channel-current', unit: 'A' });
    expect((await runCommand(compare, [a, b], { cwd })).stdout).not.toContain('Light and answers');
  });
});
