import { appendFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { evenfall } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

/** A claim that the lamp holds, and one that it does not. */
const holds = dimmingSpec('holds', ['50 %']);
const misses = dimmingSpec('misses', ['50 %']).replaceAll('target: $level', 'target: 90 %');
const fades = dimmingSpec('fades', ['20 %']).replace('tags: [commit]', 'tags: [nightly]');
const library = {
  'specs/holds.spec.yaml': holds,
  'specs/misses.spec.yaml': misses,
  'specs/fades.spec.yaml': fades,
};

function claimsOf(folder: string): string[] {
  return recordIn(folder).specs.map(({ spec }) => spec);
}

function newest(cwd: string): string {
  const folder = runsIn(cwd).at(-1);
  if (folder === undefined) throw new Error(`no run is stored in ${cwd}`);
  return folder;
}

describe('run --only', () => {
  it('runs the claims that are named, alone or behind their folder, and the record says so', async () => {
    const cwd = desk(library);
    const args = ['run', 'specs', '--only', 'fades', '--only', 'specs/holds'];
    expect((await evenfall(args, { cwd })).exitCode).toBe(0);
    expect(claimsOf(newest(cwd))).toEqual(['fades', 'holds']);
    const { selection } = recordIn(newest(cwd));
    expect(selection).toEqual({ tags: [], paths: ['specs'], only: ['fades', 'specs/holds'] });
  });

  it('offers the nearest names for a name that no spec has, and runs nothing', async () => {
    const cwd = desk({ ...library, 'specs/more.spec.yaml': dimmingSpec('fourth', ['10 %']) });
    const { exitCode, stderr } = await evenfall(['run', '--only', 'holds', '--only', 'mises'], {
      cwd,
    });
    expect(exitCode).toBe(64);
    expect(stderr).toBe(
      'evenfall: none of the 4 specs in specs is called "mises"; the nearest names are misses, fades, holds\n',
    );
  });

  it('keeps to the tags as well, and names those of the claim', async () => {
    const cwd = desk(library);
    const args = ['run', '--only', 'fades', '--tag', 'commit'];
    const { exitCode, stderr } = await evenfall(args, { cwd });
    expect(exitCode).toBe(64);
    expect(stderr).toContain(
      'none of the 1 specs in specs has the tag commit; their tags are nightly',
    );
  });
});

describe('run --failed', () => {
  it('runs again what did not pass in the newest run of the lamp, and says what, and from where', async () => {
    const cwd = desk(library);
    expect((await evenfall(['run', '--build', 'a'], { cwd })).exitCode).toBe(1);
    const first = newest(cwd);
    const { exitCode, stderr } = await evenfall(['run', '--failed', '--build', 'b'], { cwd });
    expect(exitCode).toBe(1);
    expect(stderr.split('\n')[0]).toBe(
      `Again what did not pass in the run ${basename(first)} of ${recordIn(first).startedAt}, build a: 1 of 3 claims (misses)`,
    );
    expect(claimsOf(newest(cwd))).toEqual(['misses']);
    expect(recordIn(newest(cwd)).selection.failedIn).toBe(recordIn(first).id);
  });

  it('takes the newest run of the build that is named, where it has one', async () => {
    const cwd = desk(library);
    await evenfall(['run', '--build', 'a'], { cwd });
    await evenfall(['run', '--build', 'b', '--only', 'holds'], { cwd });
    const again = await evenfall(['run', '--failed', '--build', 'a'], { cwd });
    expect(again.stderr).toContain('1 of 3 claims (misses)');
  });

  it('says that nothing failed, stores nothing, and ends with 0', async () => {
    const cwd = desk(library);
    await evenfall(['run', '--only', 'holds'], { cwd });
    const { exitCode, stdout } = await evenfall(['run', '--failed'], { cwd });
    expect(exitCode).toBe(0);
    expect(stdout).toMatch(
      /^Nothing to run again: in the run \S+ of \S+, build reference, every claim that applies to the lamp passed \(1\)\.\n$/,
    );
    expect(runsIn(cwd)).toHaveLength(1);
  });

  it('takes runs with a seeded fault only where this one has a fault too', async () => {
    const cwd = desk(library);
    const fault = ['--fault', 'linear-dimming'];
    await evenfall(['run', '--only', 'misses', ...fault], { cwd });
    const healthy = await evenfall(['run', '--failed'], { cwd });
    expect(healthy.exitCode).toBe(66);
    expect(healthy.stderr).toContain('without a seeded fault in');
    const faulty = await evenfall(['run', '--failed', ...fault], { cwd });
    expect(faulty.stderr).toContain('1 of 1 claim (misses)');
  });

  it('takes the run that is named, and only what is among the specs given', async () => {
    const cwd = desk(library);
    await evenfall(['run'], { cwd });
    const named = basename(newest(cwd));
    await evenfall(['run', '--only', 'holds'], { cwd });
    const again = await evenfall(['run', '--failed-in', named], { cwd });
    expect(again.exitCode).toBe(1);
    const elsewhere = ['run', 'specs/holds.spec.yaml', '--failed-in', named];
    const { exitCode, stderr } = await evenfall(elsewhere, { cwd });
    expect(exitCode).toBe(64);
    expect(stderr).toContain('(misses) is among the specs in specs/holds.spec.yaml; name their');
  });

  it('refuses a run that was altered since it was sealed, and to be mixed with --only', async () => {
    const cwd = desk(library);
    await evenfall(['run'], { cwd });
    appendFileSync(join(newest(cwd), 'run.json'), ' ');
    const altered = await evenfall(['run', '--failed'], { cwd });
    expect(altered.exitCode).toBe(77);
    expect(altered.stderr).toContain('was altered since it was sealed');
    const mixed = await evenfall(['run', '--failed', '--only', 'holds'], { cwd });
    expect(mixed.exitCode).toBe(64);
    expect(mixed.stderr).toContain('--failed: not with --only');
  });

  it('says where it looked when no run is stored', async () => {
    const cwd = desk(library);
    const { exitCode, stderr } = await evenfall(['run', '--failed'], { cwd });
    expect(exitCode).toBe(66);
    expect(stderr).toMatch(
      /expected a finished run of alcove-6 without a seeded fault in \S+, found none/,
    );
  });
});

describe('run --quiet', () => {
  it('prints one line where everything passed', async () => {
    const cwd = desk(library);
    const { exitCode, stdout, stderr } = await evenfall(['run', '--only', 'holds', '--quiet'], {
      cwd,
    });
    expect(exitCode).toBe(0);
    expect(stderr).toBe('');
    expect(stdout).toBe(`1 claim: ● 1 pass, stored in ${join('reports', basename(newest(cwd)))}\n`);
  });

  it('prints what did not pass, and then that line; in a job, its annotations at their lines', async () => {
    const cwd = desk(library);
    const env = { GITHUB_ACTIONS: 'true' };
    const { exitCode, stdout, stderr } = await evenfall(['run', '--quiet'], { cwd, env });
    expect(exitCode).toBe(1);
    expect(stderr).toBe('');
    expect(stdout).toMatch(/^▲ fail {2}specs\/misses\n {2}The lamp dims as commanded\.\n {4}▲ /);
    expect(stdout).not.toContain('holds');
    expect(stdout).toMatch(/\n3 claims: ● 2 pass {3}▲ 1 fail, stored in reports\/\S+\n/);
    expect(stdout).toMatch(
      /\n::error file=specs\/misses\.spec\.yaml,line=21,title=fail%3A misses::/,
    );
  });

  it('is not mixed with --json', async () => {
    const cwd = desk(library);
    const { exitCode, stderr } = await evenfall(['run', '--quiet', '--json'], { cwd });
    expect(exitCode).toBe(64);
    expect(stderr).toContain('--quiet: not with --json');
  });
});
