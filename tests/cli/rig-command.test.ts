import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import type { Emulation } from '../../drivers/plant/emulate/emulation.ts';
import { driverSettings } from '../../drivers/registry.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import { readBench } from '../../harness/workflow/inputs/read-bench.ts';
import { changeCalibration } from '../../harness/workflow/rig/change-calibration.ts';
import { openTestEmulation } from '../drivers/emulate/open-test-bench.ts';
import { outputIsOn, writeRig } from './emulated-rig.ts';
import { evenfall } from './program.ts';
import { desk } from './small-specs.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

function place(change?: (text: string) => string) {
  const cwd = desk({});
  const rig = writeRig(emulation, cwd, change);
  return { rig, called: { cwd, env: { EVENFALL_LOCKS: join(cwd, 'locks') } } };
}

/** The light's wire as the rig file has it now. */
function lightOf(file: string) {
  const read = readRig(readFileSync(file, 'utf8'), file, driverSettings);
  if ('issues' in read) throw new Error(read.issues.map(({ message }) => message).join('\n'));
  return read.rig.wiring.find(({ signal }) => signal === 'light')!;
}

describe('evenfall rig', () => {
  it('lists who answers, with calibration, and switches nothing on', async () => {
    const { rig, called } = place();
    const { exitCode, stdout } = await evenfall(['rig', 'list', '--rig', rig], called);
    expect(stdout).toMatch(/digitiser +scpi +Tarn D16 EM-0001 +valid, until 2027-02-02 .*present/);
    expect(stdout).toMatch(/console .*no answer; does the lamp have power\?/);
    expect(exitCode).toBe(0);
    expect(await outputIsOn(emulation)).toBe(false);
  });

  it('names an instrument that is another one, and exits with 69', async () => {
    const { rig, called } = place((text) => text.replace('EM-0003', 'EM-9'));
    const { exitCode, stdout } = await evenfall(['rig', 'list', '--rig', rig], called);
    expect(stdout).toMatch(/colour-sensor .*expects serial EM-9, it says serial EM-0003/);
    expect(exitCode).toBe(69);
  });

  it('switches everything off, and says that it was confirmed', async () => {
    const { rig, called } = place();
    const { exitCode, stdout } = await evenfall(['rig', 'safe', '--rig', rig], called);
    expect(stdout).toMatch(/safe state confirmed \(supply: output off/);
    expect(exitCode).toBe(0);
  });

  it('holds an instrument to the promises of its port', async () => {
    const { rig, called } = place();
    // The supply is off after its own promises; the console wants a lamp with power.
    const args = ['rig', 'test', 'supply', 'console', '--rig', rig, '--json'];
    const { exitCode, stdout, stderr } = await evenfall(args, called);
    const results = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as { instrument: string; outcome: string });
    expect(results.length).toBeGreaterThan(5);
    expect(new Set(results.map(({ instrument }) => instrument))).toEqual(
      new Set(['supply', 'console']),
    );
    expect(results.filter(({ outcome }) => outcome === 'broken')).toEqual([]);
    expect(exitCode).toBe(0);
    expect(stderr).toMatch(/Safe state confirmed/);
  });

  it('calibrates the scale of an input against a reference, and keeps the comments of the file', async () => {
    const { rig, called } = place();
    const before = lightOf(rig);
    const args = ['rig', 'calibrate', 'scale', '--rig', rig, '--lit'];
    const reference = [
      '--reference',
      '3000 lx',
      '--uncertainty',
      '15 lx',
      '--reference-serial',
      'R-9',
    ];
    const paper = ['--certificate', 'C-77', '--due', '2027-11-01', '--operator', 'A. Bench'];
    const { exitCode, stdout, stderr } = await evenfall([...args, ...reference, ...paper], called);
    expect({ exitCode, stderr }).toMatchObject({ exitCode: 0 });
    expect(stdout).toMatch(/light of all: scale .* lx\/V, standard-scale 0\.5\d* %/);
    const after = lightOf(rig);
    // The reference is u = 0.5 %; the record adds next to nothing (computed).
    expect(after.standardScale).toBeCloseTo(0.005, 5);
    expect(after.scale).not.toBe(before.scale);
    expect(after.offset).toBe(before.offset);
    // What is in lux was in volts before: it goes with the scale.
    const factor = after.scale / before.scale;
    expect(after.noise / before.noise).toBeCloseTo(factor, 4);
    expect(after.fullScale / before.fullScale).toBeCloseTo(factor, 4);
    expect(after.standardOffset / before.standardOffset).toBeCloseTo(factor, 4);
    expect((after.dark?.noise ?? 0) / (before.dark?.noise ?? 1)).toBeCloseTo(factor, 4);
    expect(after.calibration).toMatchObject({ due: '2027-11-01', certificate: 'C-77' });
    const history = parse(readFileSync(rig.replace('.rig.yaml', '.calibrations.yaml'), 'utf8'));
    expect(history).toMatchObject([
      {
        what: 'scale',
        'as-found': { scale: '1000 lx/V' },
        'as-left': { reads: '3000 lx' },
        reference: { reading: '3000 lx', serial: 'R-9' },
        certificate: 'C-77',
        operator: 'A. Bench',
      },
    ]);
    const text = readFileSync(rig, 'utf8');
    expect(text).toMatch(/certificate: C-77/);
    expect(text).toMatch(/# the lamp's channels in their order/);
    expect(await outputIsOn(emulation)).toBe(false);
  });

  it('calibrates the zero with everything off', async () => {
    const { rig, called } = place();
    const args = ['rig', 'calibrate', 'dark', '--rig', rig, '--length', '2 s'];
    const { exitCode, stdout, stderr } = await evenfall(args, called);
    expect({ exitCode, stderr }).toMatchObject({ exitCode: 0 });
    expect(stdout).toMatch(/dark noise .* mlx|dark noise .* lx/);
    const { dark } = lightOf(rig);
    expect(dark).toMatchObject({ length: 2, lines: [] });
    // The digitiser's 16 bits over 3 klx have steps of 92 mlx: their rounding swallows the head's 20 mlx.
    expect(dark?.noise).toBeCloseTo(3000 / 2 ** 15 / Math.sqrt(12), 5);
    // The emulated head has a zero within 2 mlx (k = 1) at 1000 lx/V.
    expect(Math.abs(lightOf(rig).offset)).toBeLessThan(20e-6);
  });

  it.each([
    [['calibrate', 'drak'], 64, /expected dark, scale or timing, found "drak"/],
    [['calibrate', 'scale', '--reference', '3 V', '--uncertainty', '1 lx'], 64, /--reference: /],
    [
      [
        ...['calibrate', 'scale', '--signal', 'channel-current', '--of', 'each'],
        ...['--reference', '0.5 A', '--uncertainty', '1 mA'],
      ],
      64,
      /9 inputs, each with a reference of its own/,
    ],
    [
      ['calibrate', 'scale', '--reference', '30 klx', '--uncertainty', '1 lx', '--lit'],
      3,
      /times the 1000 lx\/V of the rig file.*Nothing was written; --accept-jump takes it/,
    ],
    [['calibrate', 'scale', '--length', '2 s'], 64, /--length is for dark/],
    [['calibrate', 'dark', '--length', '2 V'], 64, /--length: /],
    [['calibrate', 'dark', '--lit'], 64, /--lit is for scale/],
    [['calibrate', 'dark', '--due', '2027-11-01'], 64, /--due needs --certificate: give both/],
    [
      ['calibrate', 'dark', '--certificate', 'C-77', '--due', '1.11.2027'],
      64,
      /--due: expected a day as YYYY-MM-DD, not before \d{4}-\d\d-\d\d, found "1\.11\.2027"/,
    ],
    [
      ['calibrate', 'dark', '--certificate', 'C-77', '--due', '2020-01-01'],
      64,
      /found "2020-01-01"/,
    ],
    [['test', 'suply'], 64, /did you mean "supply"/],
  ])('refuses %j', async (args, code, words) => {
    const { rig, called } = place();
    const { exitCode, stderr } = await evenfall(['rig', ...args, '--rig', rig], called);
    expect(stderr).toMatch(words);
    expect(exitCode).toBe(code);
  });
});

it('gives a channel a line of its own where the line has an input for each', () => {
  const text = readFileSync('specs/rigs/emulated.rig.yaml', 'utf8');
  const wire = { signal: 'channel-current', of: 'red' } as const;
  const lamp = readBench({ lamp: undefined, rig: 'specs/rigs/emulated.rig.yaml' }, process.cwd());
  const channels = lamp.lamp.channels.map(({ channel }) => channel);
  const record = { date: '2026-11-25', certificate: 'C-8', due: '2027-11-25' };
  const changed = changeCalibration(text, wire, { scale: '0.21 A/V' }, record, channels);
  const after = readRig(changed, 'b', driverSettings);
  const before = readRig(text, 'a', driverSettings);
  if ('issues' in before || 'issues' in after) throw new Error('issues');
  const own = after.rig.wiring.filter(({ signal }) => signal === 'channel-current');
  expect(own.map(({ of }) => of)).toEqual(channels);
  expect(own.map(({ input }) => input)).toEqual(channels.map((_, index) => `${index + 1}`));
  const red = own.find(({ of }) => of === 'red');
  expect(red).toMatchObject({ scale: 0.21, calibration: { certificate: 'C-8' } });
  const others = own.filter(({ of }) => of !== 'red');
  expect(others.every(({ scale, calibration }) => scale === 0.2 && !calibration)).toBe(true);
});

it('changes one line of the wiring and nothing else', () => {
  const text = readFileSync('specs/rigs/emulated.rig.yaml', 'utf8');
  const wire = { signal: 'light', of: 'all', instrument: 'digitiser' } as const;
  const record = { date: '2026-11-25' };
  const changed = changeCalibration(text, wire, { scale: '1012.5 lx/V' }, record);
  const before = readRig(text, 'a', driverSettings);
  const after = readRig(changed, 'b', driverSettings);
  if ('issues' in before || 'issues' in after) throw new Error('issues');
  const wiring = before.rig.wiring.map((each) =>
    each.signal === 'light' ? { ...each, scale: 1012.5 } : each,
  );
  expect(after.rig).toEqual({ ...before.rig, wiring });
});
