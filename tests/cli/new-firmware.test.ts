import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { register as create } from '../../harness/cli/authoring/new.ts';
import { register as replay } from '../../harness/cli/running/replay.ts';
import { register as run } from '../../harness/cli/running/run.ts';
import { runCommand } from './run-command.ts';
import { recordIn, runsIn } from './small-specs.ts';

let cwd: string;
beforeEach(() => {
  cwd = mkdtempSync(join(tmpdir(), 'evenfall-firmware-'));
});
afterEach(() => rmSync(cwd, { recursive: true, force: true }));

const firmware = (...options: readonly string[]) =>
  runCommand(create, ['firmware', ...options], { cwd });
const text = (file: string): string => readFileSync(join(cwd, file), 'utf8');

const patience = { timeout: 400_000 };

describe.each(['ticks', 'main-loop'])('evenfall new firmware, driven by %s', patience, (style) => {
  const links = ['--channels', '3', '--links', 'console,dmx'];

  it('builds from any folder, and passes its own spec', async () => {
    const made = await firmware('case-light', '--style', style, ...links);
    expect(made.exitCode, made.stderr).toBe(0);
    expect(/^void lamp_main/m.test(text('case-light/firmware/main.c'))).toBe(style === 'main-loop');
    execFileSync('make', ['-s', '-f', join(cwd, 'case-light/firmware/Makefile')], {
      cwd: tmpdir(),
      stdio: 'pipe',
    });
    const build = ['specs', '--firmware', 'firmware/build/lamp.wasm', '--captures', 'none'];
    const own = join(cwd, 'case-light');
    const { exitCode, stdout, stderr } = await runCommand(run, build, { cwd: own });
    expect(exitCode, stdout + stderr).toBe(0);
    expect(recordIn(runsIn(own)[0] ?? '')).toMatchObject({
      lamp: { name: 'case-light' },
      specs: [{ spec: 'first-fade', verdict: 'pass' }],
    });
  });

  it('does the same on this machine as in the lamp', async () => {
    await firmware('case-light', '--style', style, ...links);
    const own = join(cwd, 'case-light');
    execFileSync(
      'make',
      ['-s', '-f', join(own, 'firmware/Makefile'), 'all', 'native', 'sanitize'],
      { cwd: own, stdio: 'pipe' },
    );
    const build = ['--firmware', 'firmware/build/lamp.wasm'];
    await runCommand(run, ['specs', '--quiet', ...build], { cwd: own });
    const transcript = join(own, 'fade.transcript');
    const reports = ['--reports', join(own, 'reports'), '--transcript', transcript];
    const { exitCode, stderr } = await runCommand(replay, ['latest', ...build, ...reports], {
      cwd: own,
    });
    expect(exitCode, stderr).toBe(0);
    for (const target of ['native', 'sanitize'])
      execFileSync(join(own, `firmware/build/lamp-${target}`), [transcript], { stdio: 'pipe' });
  });

  it('passes the quick claims of the library, restarts and storms of commands', async () => {
    await firmware('case-light', '--style', style, ...links);
    execFileSync('make', ['-s', '-C', 'case-light/firmware'], { cwd, stdio: 'pipe' });
    const own = join(cwd, 'case-light');
    const added = await runCommand(create, ['project', 'case-light', ...links], { cwd: own });
    expect(added.exitCode, added.stderr).toBe(0);
    const claims = ['fades-on-time', 'slot-levels', 'reset-in-fade', 'processor-load'];
    const options = claims.flatMap((claim) => ['--only', claim]);
    const build = ['--firmware', 'firmware/build/lamp.wasm', '--captures', 'none'];
    const ran = await runCommand(run, [...options, ...build], { cwd: own });
    expect(ran.exitCode, ran.stdout + ran.stderr).toBe(0);
    expect(recordIn(runsIn(own)[0] ?? '').specs).toHaveLength(claims.length);
  });
});

it(
  'has a spec that fails where a fade is cut short by an eighth',
  async () => {
    await firmware('case-light');
    const light = join(cwd, 'case-light/firmware/light.c');
    const sound = readFileSync(light, 'utf8');
    const cut = sound.replace('++elapsed >= duration', '++elapsed >= duration * 7 / 8');
    expect(cut).not.toBe(sound);
    writeFileSync(light, cut);
    execFileSync('make', ['-s', '-C', 'case-light/firmware'], { cwd, stdio: 'pipe' });
    const build = ['specs', '--firmware', 'firmware/build/lamp.wasm', '--captures', 'none'];
    const { exitCode } = await runCommand(run, build, { cwd: join(cwd, 'case-light') });
    expect(exitCode).toBe(1);
  },
  patience.timeout,
);

describe('evenfall new firmware', () => {
  it('never overwrites, and says what it left', async () => {
    mkdirSync(join(cwd, 'case-light/firmware'), { recursive: true });
    writeFileSync(join(cwd, 'case-light/firmware/main.c'), '/* mine */');
    const { exitCode, stdout } = await firmware('case-light');
    expect(exitCode).toBe(0);
    expect(stdout).toMatch(/^left as they were:\n {2}firmware\/ /m);
    expect(text('case-light/firmware/main.c')).toBe('/* mine */');
  });

  it('is for a lamp file that it is given, and writes none', async () => {
    const lamp = ['--lamp', 'library:lamps/alcove-1.lamp.yaml', '--folder', 'mine'];
    const { exitCode, stderr } = await firmware('one', ...lamp);
    expect(exitCode, stderr).toBe(0);
    expect(text('mine/firmware/board.h')).toContain('#define CHANNELS 1\n');
    expect(readdirSync(join(cwd, 'mine'))).not.toContain('one.lamp.yaml');
  });

  it('says what contradicts itself', async () => {
    const { exitCode, stderr } = await firmware('one', '--dali', 'banks');
    expect(exitCode).toBe(64);
    expect(stderr).toContain('new firmware: --dali: expected dali in --links too');
  });
});
