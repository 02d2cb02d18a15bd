import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { register } from '../../harness/cli/authoring/check.ts';
import { starters } from '../../harness/cli/authoring/starters.ts';
import { runCommand } from './run-command.ts';

const specs = join(import.meta.dirname, '..', '..', 'specs');
const alcove = join(specs, 'lamps', 'alcove-6.lamp.yaml');

let cwd: string;
beforeEach(() => {
  cwd = mkdtempSync(join(tmpdir(), 'evenfall-check-'));
});
afterEach(() => rmSync(cwd, { recursive: true, force: true }));

const starter = (name: string): string => starters.spec.replace('NAME', name);
const check = (...args: string[]) => runCommand(register, args, { cwd });

describe('evenfall check', () => {
  it('lists claims, conditions and lamp time, and ends with 0', async () => {
    writeFileSync(join(cwd, 'a.spec.yaml'), starter('on-time'));
    const { exitCode, stdout, stderr } = await check('a.spec.yaml', '--lamp', alcove);
    expect({ exitCode, stderr }).toEqual({ exitCode: 0, stderr: '' });
    expect(stdout).toContain(
      '  on-time   2         4.7 s  A fade follows the curve for the time asked for.\n',
    );
    expect(stdout).toContain('1 claim, 2 conditions, 4.7 s of lamp time\n');
    expect(stdout).toContain('no issues\n');
  });

  it('tells the issues of all files at once, and ends with 65', async () => {
    writeFileSync(join(cwd, 'a.spec.yaml'), starter('on-time').replace('0.7 s', '0.7 lm'));
    writeFileSync(
      join(cwd, 'b.spec.yaml'),
      starter('on-time-2').replace('fade-duration', 'fade-duraton'),
    );
    writeFileSync(
      join(cwd, 'c.lamp.yaml'),
      starters.lamp.replace('NAME', 'c').replace('bits: 16, clock', 'bits: 99, clock'),
    );
    writeFileSync(join(cwd, 'd.rig.yaml'), '');
    const { exitCode, stderr } = await check('.', '--lamp', alcove);
    expect(exitCode).toBe(65);
    expect(stderr).toContain(
      'a.spec.yaml:13:31: stimulus[2].fade.over: expected a time such as 20 ms',
    );
    expect(stderr).toContain(
      'b.spec.yaml:21:15: criteria[0].metric: "fade-duraton" is not a metric; did you mean',
    );
    expect(stderr).toContain(
      'c.lamp.yaml:14:42: modulation.bits: expected at most 24, found the number 99',
    );
    expect(stderr).toContain('d.rig.yaml:1:1: expected a mapping, found an empty file');
    expect(stderr).toContain('in 4 files\n');
  });

  it('says so where a rig file stands for the lamp file, and the other way round', async () => {
    writeFileSync(join(cwd, 'a.spec.yaml'), starter('on-time'));
    writeFileSync(join(cwd, 'b.rig.yaml'), 'rig: b\nplace: bench\n');
    const lamp = await check('a.spec.yaml', '--lamp', 'b.rig.yaml');
    expect(lamp.exitCode).toBe(64);
    expect(lamp.stderr).toContain('b.rig.yaml is a rig file; give it with --rig');
    const rig = await check('a.spec.yaml', '--rig', alcove);
    expect(rig.exitCode).toBe(64);
    expect(rig.stderr).toContain('is a lamp file; give it with --lamp');
  });

  it('names a claim of which nothing reaches the lamp, and ends with 3', async () => {
    const lamp = join(cwd, 'far.lamp.yaml');
    const text = readFileSync(alcove, 'utf8');
    writeFileSync(lamp, text.replaceAll('first-slot: 1,', 'first-slot: 100,'));
    const claim = readFileSync(join(specs, 'control', 'sacn-preview.spec.yaml'), 'utf8');
    writeFileSync(join(cwd, 'a.spec.yaml'), claim);
    expect((await check('a.spec.yaml', '--lamp', lamp)).exitCode).toBe(0);
    writeFileSync(join(cwd, 'a.spec.yaml'), claim.replace('{ lamp-slots: 255 }', '[255, 255]'));
    const { exitCode, stdout } = await check('a.spec.yaml', '--lamp', lamp);
    expect(exitCode).toBe(3);
    expect(stdout).toContain('cannot be proved: level-ratio proves nothing of lamp alcove-6');
    expect(stdout).toContain('it reads slots 100 to 113 on sacn');
  });

  it('refuses two specs with one id, and names both', async () => {
    writeFileSync(join(cwd, 'a.spec.yaml'), starter('on-time'));
    writeFileSync(join(cwd, 'b.spec.yaml'), starter('on-time'));
    const { exitCode, stderr } = await check('.', '--lamp', alcove);
    expect(exitCode).toBe(65);
    expect(stderr).toContain(
      'b.spec.yaml:2:1: spec: a.spec.yaml already uses the id "on-time"; rename one of the two',
    );
  });

  it('ends with 66 where there is no such path or nothing to check, and offers a project without specs', async () => {
    expect(await check('nowhere')).toMatchObject({ exitCode: 66, stdout: '' });
    expect((await check('nowhere')).stderr).toContain(
      'expected a file or folder at nowhere, found none',
    );
    expect((await check('.')).exitCode).toBe(66);
    const bare = await check();
    expect(bare.exitCode).toBe(66);
    expect(bare.stderr).toContain('evenfall new project');
    expect((await check('.', '--schema', 'spce')).exitCode).toBe(64);
  });

  it('refuses a file whose name does not say what it is', async () => {
    writeFileSync(join(cwd, 'a.yaml'), starter('on-time'));
    const { exitCode, stderr } = await check('a.yaml', '--lamp', alcove);
    expect(exitCode).toBe(65);
    expect(stderr).toContain(
      'a.yaml:1:1: expected a name that ends in .spec.yaml, .lamp.yaml, .rig.yaml',
    );
  });

  it('prints one JSON document with everything in SI', async () => {
    writeFileSync(join(cwd, 'a.spec.yaml'), starter('on-time'));
    const { exitCode, stdout } = await check('.', '--lamp', alcove, '--json');
    const report = JSON.parse(stdout);
    expect(exitCode).toBe(0);
    expect(report).toMatchObject({
      format: 'evenfall-check',
      version: 2,
      lamp: 'alcove-6',
      issues: [],
    });
    expect(report.claims[0].conditions.map(({ key }: { key: string }) => key)).toEqual([
      'fade-time=0.7 s',
      'fade-time=2 s',
    ]);
    expect(report.lampTime).toBeCloseTo(4.7, 9);
  });

  it('says what a rig cannot prove, and ends with 3', async () => {
    writeFileSync(
      join(cwd, 'a.spec.yaml'),
      starter('on-time').replace(
        'rate: 10 kHz',
        'rate: 10 kHz }\n  - { signal: colour, integration: 100 ms',
      ),
    );
    const rig = join(import.meta.dirname, '..', 'preflight', 'golden', 'rigs', 'no-light.rig.yaml');
    const { exitCode, stdout } = await check('a.spec.yaml', '--lamp', alcove, '--rig', rig);
    expect(exitCode).toBe(3);
    expect(stdout).toContain(
      'cannot be proved: needs a record of colour, but rig no-light has no input for it',
    );
    expect(stdout).toContain('on this rig: 0 can be proved, 0 with doubts, 1 cannot');
  });

  it('tells a wrong setting of a driver with its place and a caret', async () => {
    const rig = readFileSync(join(specs, 'rigs', 'emulated.rig.yaml'), 'utf8');
    writeFileSync(join(cwd, 'a.rig.yaml'), rig.replace('to: 127.0.0.1:5568', 'too: 127.0.0.1'));
    const { exitCode, stderr } = await check('a.rig.yaml');
    expect(exitCode).toBe(65);
    expect(stderr).toContain(
      'a.rig.yaml:40:5: instruments.sacn.too: unknown key "too"; did you mean "to"?',
    );
    expect(stderr).toMatch(/40 \|\s+too: 127\.0\.0\.1\n\s+\|\s+\^\^\^/);
  });

  it('finds no issue in anything that ships, for each lamp that ships', async () => {
    for (const lamp of ['alcove-6', 'alcove-1', 'alcove-9', 'alcove-pwm']) {
      const file = join(specs, 'lamps', `${lamp}.lamp.yaml`);
      const { exitCode, stderr } = await check(specs, '--lamp', file);
      expect({ lamp, exitCode, stderr }).toEqual({ lamp, exitCode: 0, stderr: '' });
    }
  });
});
