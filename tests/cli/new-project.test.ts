import { execFileSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { register as check } from '../../harness/cli/authoring/check.ts';
import { register as create } from '../../harness/cli/authoring/new.ts';
import { register as explore } from '../../harness/cli/running/explore.ts';
import { register as run } from '../../harness/cli/running/run.ts';
import { runCommand } from './run-command.ts';
import { recordIn, runsIn } from './small-specs.ts';

const library = join(import.meta.dirname, '../../specs');

let cwd: string;
beforeEach(() => {
  cwd = mkdtempSync(join(tmpdir(), 'evenfall-project-'));
});
afterEach(() => rmSync(cwd, { recursive: true, force: true }));

const project = (...options: readonly string[]) =>
  runCommand(create, ['project', ...options], { cwd });
const text = (file: string): string => readFileSync(join(cwd, file), 'utf8');
const specs = (): string[] =>
  readdirSync(join(cwd, 'specs'), { recursive: true, encoding: 'utf8' })
    .filter((file) => file.endsWith('.spec.yaml') && !file.startsWith('.'))
    .sort();

/** Lamps that differ in what specs ask for, and how many specs they may have at least. */
const lamps: Readonly<Record<string, readonly string[]>> = {
  'two whites on a console': [],
  'one channel': ['--channels', '1'],
  'tunable white': [
    ...['--channels', '6', '--links', 'console,dali', '--stage', 'fixed-off-time'],
    ...['--dali', 'tunable-white,rgbwaf,banks'],
  ],
  'DMX512 alone': ['--channels', '3', '--links', 'dmx', '--rdm'],
  'sACN alone': ['--channels', 'warm,cool,blue,plum', '--links', 'sacn', '--on-loss', 'off'],
  'PWM and 8 bits': [
    ...['--channels', '3', '--links', 'console,dmx', '--slot-bits', '8'],
    ...['--modulation', 'pwm', '--curve', 'linear'],
  ],
  'mains and DALI': ['--links', 'dali', '--supply', 'mains', '--stage', 'fixed-off-time'],
  'sixteen channels': ['--channels', '16', '--links', 'console,dmx'],
};

describe('evenfall new project', () => {
  it.each(Object.entries(lamps))(
    'chooses specs that this lamp can have and this rig can prove: %s',
    async (_, options) => {
      const made = await project(...options);
      expect(made.exitCode, made.stderr).toBe(0);
      const checked = await runCommand(check, ['specs', '--rig', 'simulated.rig.yaml'], { cwd });
      expect(checked.exitCode, checked.stderr + checked.stdout).toBe(0);
      expect(checked.stdout).toContain(`${specs().length} claims, `);
      expect(checked.stdout).toMatch(/can be proved, 0 with doubts, 0 cannot/);
    },
  );

  it('leaves out what the lamp has not', async () => {
    await project('--links', 'dmx');
    const chosen = specs().map((file) => file.replace(/^.*\//, ''));
    expect(chosen).toContain('dmx-frame-rates.spec.yaml');
    expect(chosen.filter((file) => /^(dali|sacn|rdm|console)/.test(file))).toEqual([]);
  });

  it('is what commands take in its folder: its lamp, rig and specs', async () => {
    await project('case-light', '--channels', '3');
    const only = ['--only', 'crossfade-arrives-together', '--captures', 'none'];
    const { exitCode, stdout, stderr } = await runCommand(run, only, { cwd });
    expect(exitCode, stdout + stderr).toBe(0);
    const record = recordIn(runsIn(cwd)[0] ?? '');
    expect(record).toMatchObject({ lamp: { name: 'case-light' }, verdict: 'pass' });
    expect(record.rig.file).toBe('simulated.rig.yaml');
  });

  it('never overwrites, says what it left, and chooses by the lamp that is there', async () => {
    await project();
    mkdirSync(join(cwd, 'own'));
    const own = readFileSync(join(library, 'lamps/alcove-1.lamp.yaml'), 'utf8');
    writeFileSync(join(cwd, 'own/my-lamp.lamp.yaml'), own);
    writeFileSync(join(cwd, 'own/.gitignore'), 'reports\n');
    const { exitCode, stdout, stderr } = await project('--folder', 'own', '--channels', '6');
    expect(exitCode, stderr).toBe(0);
    expect(stdout).toMatch(/^lamp alcove-1: 1 channel; console, dali, dmx, sacn\n/);
    expect(stdout).toMatch(
      /^left as they were:\n {2}my-lamp\.lamp\.yaml .*\n {2}\.gitignore .*\n {2}add to \.gitignore: node_modules\/ firmware\/build\/\n/m,
    );
    expect(text('own/my-lamp.lamp.yaml')).toBe(own);
    expect(text('own/.gitignore')).toBe('reports\n');
    expect(existsSync(join(cwd, 'own/specs/fading/fades-on-time.spec.yaml'))).toBe(true);
    expect(existsSync(join(cwd, 'own/specs/fading/crossfade-arrives-together.spec.yaml'))).toBe(
      false,
    );
    const again = await project();
    expect(again.stdout).toContain('written: nothing\n');
  });

  it('takes a lamp file that it is given, and writes none', async () => {
    const { exitCode, stderr } = await project('--lamp', 'library:lamps/alcove-1.lamp.yaml');
    expect(exitCode, stderr).toBe(0);
    expect(readdirSync(cwd).filter((file) => file.endsWith('.lamp.yaml'))).toEqual([]);
    expect(text('evenfall.project.yaml')).toContain('lamp: library:lamps/alcove-1.lamp.yaml\n');
  });

  it('writes the CI file of the forge that the folder shows, or that it is told', async () => {
    mkdirSync(join(cwd, '.github'));
    await project();
    expect(readdirSync(cwd)).not.toContain('.gitlab-ci.yml');
    expect(text('.github/workflows/evenfall.yml')).toContain('npx evenfall run --tag commit');
    await project('--folder', 'other', '--ci', 'pipeline', '--no-firmware');
    expect(readdirSync(join(cwd, 'other'))).not.toContain('.github');
    expect(text('other/.gitlab-ci.yml')).not.toContain('firmware');
    expect(readdirSync(join(cwd, 'other'))).not.toContain('firmware');
  });

  it.each([
    [['--links', 'console,dalli'], 'did you mean "dali"?'],
    [['--dali', 'banks'], '--dali: expected dali in --links too'],
    [['--rdm'], '--rdm: expected dmx in --links too'],
    [['--channels', 'warm,warm'], 'found "warm" twice'],
    [['--channels', '17'], 'expected 1 to 16 channels, found 17'],
    [['--channels', '1', '--links', 'dali', '--dali', 'tunable-white'], 'two channels or more'],
  ])('refuses answers that make no lamp: %s', async (options, sentence) => {
    const { exitCode, stderr } = await project(...options);
    expect(exitCode).toBe(64);
    expect(stderr).toContain(sentence);
    expect(readdirSync(cwd)).toEqual([]);
  });
});

describe('a firmware folder that it lays out', () => {
  it.each([
    ['console', ['--channels', '3'], 'crossfade-arrives-together'],
    ['slots', ['--channels', '3', '--links', 'dmx', '--stage', 'fixed-off-time'], 'slots-fade'],
    [
      'PWM',
      ['--links', 'console,sacn', '--modulation', 'pwm', '--slot-bits', '8'],
      'fades-on-time',
    ],
  ])('builds, and dims as the specs say: %s', async (_, options, only) => {
    await project(...options);
    execFileSync('make', ['-s', '-C', 'firmware'], { cwd, stdio: 'pipe' });
    const build = ['--firmware', 'firmware/build/lamp.wasm', '--captures', 'none'];
    const { exitCode, stdout, stderr } = await runCommand(run, ['--only', only, ...build], { cwd });
    expect(exitCode, stdout + stderr).toBe(0);
  });
});

describe('a folder without specs', () => {
  it.each([
    ['run', run],
    ['check', check],
    ['explore', explore],
  ])('is told of new project: %s', async (_, command) => {
    const { exitCode, stderr } = await runCommand(command, [], { cwd });
    expect(exitCode).toBe(66);
    expect(stderr).toMatch(/there is no folder specs in .*: evenfall new project\b.*library:/);
  });
});
