import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { checkSeal } from '../../harness/archive/check-seal.ts';
import { signRun } from '../../harness/archive/sign-run.ts';
import { verifyRun } from '../../harness/archive/verify-run.ts';
import { newPerson } from '../archive/signed-run.ts';
import { evenfall } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const holds = dimmingSpec('holds', ['50 %']);
const misses = dimmingSpec('misses', ['50 %']).replaceAll('target: $level', 'target: 90 %');
const mira = newPerson('Mira');
const decide = (folder: string, decision: 'release' | 'hold') =>
  signRun(folder, {
    ...{ key: mira.key, name: 'Mira', meaning: 'approval', decision, waivers: [] },
    signedAt: new Date().toISOString(),
  });

let cwd: string;
let folder: string;
beforeAll(async () => {
  cwd = desk({ 'specs/holds.spec.yaml': holds, 'specs/misses.spec.yaml': misses });
  await evenfall(['run', '--captures', 'failures'], { cwd });
  folder = runsIn(cwd)[0] ?? '';
});

describe('run --captures failures', () => {
  it('keeps the captures of what did not pass, and marks the others in the record', () => {
    const captures = recordIn(folder).specs.map(({ spec, conditions }) => ({
      spec,
      files: conditions.flatMap((one) =>
        one.captures.map(({ file, stored }) => ({ file, stored })),
      ),
    }));
    const [held, missed] = captures.map(({ files }) => files);
    expect(held?.length).toBeGreaterThan(0);
    expect(held?.every(({ stored }) => stored === false)).toBe(true);
    expect(missed?.some(({ stored }) => stored === false)).toBe(false);
    const stored = readdirSync(join(folder, 'captures')).filter((name) => name.endsWith('.codes'));
    expect(stored.sort()).toEqual(missed?.map(({ file }) => file).sort());
  });

  it('judges and reports as if all were kept', async () => {
    const { specs } = recordIn(folder);
    expect(specs.map(({ verdict }) => verdict)).toEqual(['pass', 'fail']);
    expect(readFileSync(join(folder, 'index.html'), 'utf8')).toContain(
      'Its samples were not kept.',
    );
    const { exitCode, stderr } = await evenfall(['report', 'latest', '--format', 'html'], { cwd });
    expect(exitCode).toBe(0);
    expect(stderr).toMatch(
      /^without pictures of \d+ of \d+ captures, which the run did not keep\n$/,
    );
  });

  it('is whole to who verifies it, and cannot be released', async () => {
    await expect(decide(folder, 'release')).rejects.toThrow(
      /releases a run that was stored without \d+ of \d+ captures: nobody can judge it again; run again with all captures/,
    );
    await decide(folder, 'hold');
    expect((await verifyRun(folder, [mira.public])).problems).toEqual([]);
  });

  it('cannot be judged again, and says of a capture that it was not kept', async () => {
    const again = await evenfall(['report', 'latest', '--rejudge'], { cwd });
    expect(again.exitCode).toBe(64);
    expect(again.stderr).toMatch(/was stored without \d+ of \d+ captures, so that it cannot be/);
    const file = recordIn(folder).specs[0]?.conditions[0]?.captures[0]?.file ?? '';
    const one = await evenfall(['export', 'latest', '--format', 'csv', '--capture', file], { cwd });
    expect(one.exitCode).toBe(66);
    expect(one.stderr).toContain(`the run did not keep the samples of ${file}`);
    const all = ['export', 'latest', '--format', 'csv', '--captures', '--out', 'csv'];
    expect((await evenfall(all, { cwd })).exitCode).toBe(0);
    expect(readdirSync(join(cwd, 'csv')).length).toBeGreaterThan(0);
  });
});

describe('run --captures none', () => {
  it('keeps no capture, even of what failed, and seals the run', async () => {
    const { exitCode } = await evenfall(['run', '--captures', 'none', '--out', 'bare'], { cwd });
    expect(exitCode).toBe(1);
    const [bare = ''] = runsIn(cwd, 'bare');
    expect(readdirSync(join(bare, 'captures'))).toEqual([]);
    expect(await checkSeal(bare)).toEqual({ state: 'sealed', problems: [] });
  });
});
