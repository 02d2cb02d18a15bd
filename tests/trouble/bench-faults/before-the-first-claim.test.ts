import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { evenfall } from '../../cli/program.ts';
import { openTestEmulation } from '../../drivers/emulate/open-test-bench.ts';
import { benchDesk, conditionsOf, newestRecord } from './emulated-runs.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

/** The rig file with checks before the first claim. */
function withChecks(checks: string) {
  return benchDesk(emulation, {
    levels: ['90 %', '60 %'],
    change: (text) => `${text}before: ${checks}\n`,
  });
}

const good = `
  dark: { at-most: 100 mlx }
  saturation: { at-most: 95 % }
  stable: { within: 2 %, over: 2 s, at-most: 20 s }
  linearity: { at-most: 5 % }`;

describe('what is looked at before the first claim', () => {
  it('is recorded, and lets a good bench go on', async () => {
    const { cwd, env, args } = withChecks(good);
    const { exitCode, stderr } = await evenfall(args, { cwd, env });
    expect(stderr).not.toMatch(/NOT GOOD/);
    const record = newestRecord(cwd);
    expect(record.ended, stderr).toBe('complete');
    expect(exitCode).not.toBe(3);
    expect(Object.keys(record.rig.notes)).toEqual(
      expect.arrayContaining([
        'before: dark',
        'before: saturation',
        'before: stable',
        'before: linearity',
      ]),
    );
    expect(record.rig.notes['before: linearity']).toMatch(/together read .* %/);
  });

  it.each([
    ['dark: { at-most: 0.0001 mlx }', /dark: .*allowed/],
    ['saturation: { at-most: 1 % }', /saturation: .* of full scale/],
    ['stable: { within: 0.0001 %, over: 1 s, at-most: 2 s }', /stable: changed by/],
    ['reference: { expected: 10 lx, within: 1 % }', /reference: .*10 lx expected/],
    ['linearity: { at-most: 0.0000001 % }', /linearity: all channels together/],
  ])('stops the run by %s', async (check, words) => {
    const { cwd, env, args } = withChecks(`{ ${check} }`);
    const { exitCode, stderr } = await evenfall(args, { cwd, env });
    expect(stderr).toMatch(/NOT GOOD/);
    expect(exitCode).toBe(3);
    const record = newestRecord(cwd);
    expect(record).toMatchObject({ ended: 'failed', safeState: { confirmed: true } });
    const found = conditionsOf(record).map(({ verdict, reason }) => `${verdict}: ${reason}`);
    expect(found[0]).toMatch(words);
    expect(found.map((each) => each.split(':')[0])).toEqual(['error', 'not run']);
  });

  it.each([
    ['hum', 'dark: { at-most: 1 lx }', /dark: .* at its peaks; .*allowed/],
    ['clips-some', 'saturation: { at-most: 100 % }', /saturation: .*; 1 of 5000 samples clipped/],
  ] as const)('is not content with a record that has %s', async (kind, check, words) => {
    const { cwd, env, args } = withChecks(`{ ${check} }`);
    emulation.troubles.set([{ kind, on: 'digitiser', from: 1, once: false, seconds: 0 }]);
    const { exitCode, stderr } = await evenfall(args, { cwd, env });
    emulation.troubles.set([]);
    expect(stderr).toMatch(/NOT GOOD/);
    expect(exitCode).toBe(3);
    expect(conditionsOf(newestRecord(cwd))[0]?.reason).toMatch(words);
  });

  it.each([
    ['{ dark: { at-most: 1 V } }', /expected figures in lx/],
    ['{ dark: { at-most: dim } }', /a figure in the unit of the wire/],
    [
      '{ signal: light, of: nobody, dark: { at-most: 1 lx } }',
      /rig emulated has no input for light of nobody/,
    ],
  ])('says what is wrong with %s', async (check, words) => {
    const { cwd, env, args } = withChecks(check);
    const { exitCode, stderr } = await evenfall(args, { cwd, env });
    expect(stderr).toMatch(words);
    expect(exitCode).toBe(65);
  });
});
