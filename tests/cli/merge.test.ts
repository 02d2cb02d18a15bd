import { cpSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readRecordFile } from '../../harness/archive/record-file.ts';
import { partsOfRun } from '../../harness/record/parts-of-run.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { mergeRuns } from '../../harness/workflow/merging/merge-runs.ts';
import { evenfall } from './program.ts';
import { colourSpec, desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

const library = {
  'specs/a.spec.yaml': dimmingSpec('long', ['50 %', '20 %', '10 %']),
  'specs/b.spec.yaml': colourSpec,
  'specs/c.spec.yaml': dimmingSpec('misses', ['50 %']).replaceAll('target: $level', 'target: 90 %'),
  'specs/d.spec.yaml': dimmingSpec('short', ['5 %']),
};

async function run(cwd: string, ...options: readonly string[]): Promise<string> {
  const { exitCode, stderr, stdout } = await evenfall(['run', 'specs', '--json', ...options], {
    cwd,
  });
  expect([0, 1], stderr).toContain(exitCode);
  const last = JSON.parse(stdout.trim().split('\n').at(-1) ?? '');
  return join(cwd, last.folder);
}

/** What a run found, without what every run has of its own. */
function results({ specs, verdict, totals }: RunRecord): unknown {
  const plain = specs.map((spec) => ({
    ...spec,
    conditions: spec.conditions.map(({ startedAt: _, ...condition }) => condition),
  }));
  return { specs: plain, verdict, totals: { ...totals, wallTime: 0 } };
}

describe('evenfall merge', () => {
  it('makes of the shards what one run would have been, with every byte of its captures', async () => {
    const cwd = desk(library);
    const whole = await run(cwd, '--out', 'whole');
    const shards: string[] = [];
    for (const part of ['3/3', '1/3', '2/3'])
      shards.push(await run(cwd, '--shard', part, '--out', 'shards'));
    const parts = shards.map((folder) => recordIn(folder).specs.map(({ spec }) => spec));
    expect(parts.flat().sort()).toEqual(['colour-keeps', 'long', 'misses', 'short']);
    const merged = await evenfall(['merge', ...shards, '--out', 'merged', '--quiet'], { cwd });
    expect(merged.exitCode, merged.stderr).toBe(1);
    expect(merged.stdout).toContain('misses');
    const [name = ''] = readdirSync(join(cwd, 'merged')).filter((one) => one.includes('alcove'));
    const folder = join(cwd, 'merged', name);
    const [one, other] = [await readRecordFile(whole), await readRecordFile(folder)];
    expect(results(other)).toEqual(results(one));
    for (const file of readdirSync(join(whole, 'captures')))
      expect(bytesOf(folder, file).equals(bytesOf(whole, file)), file).toBe(true);
    expect(partsOfRun(other).map(({ specs }) => specs.map(({ spec }) => spec))).toEqual(
      shards.map((_, k) => recordIn(shards[(k + 1) % 3] ?? '').specs.map(({ spec }) => spec)),
    );
    expect((await evenfall(['report', folder, '--format', 'html'], { cwd })).stdout).toContain(
      'Shard 2 of 3: ',
    );
    const again = await evenfall(['report', folder, '--rejudge'], { cwd });
    expect(again.exitCode, again.stderr).toBe(1);
  });

  it('refuses what is no whole, or not of the same things, and stores nothing', async () => {
    const cwd = desk(library);
    const first = await run(cwd, '--shard', '1/2');
    const second = await run(cwd, '--shard', '2/2');
    const seeded = await run(cwd, '--shard', '2/2', '--seed', '5');
    const whole = await run(cwd);
    const altered = join(cwd, 'altered', 'x');
    cpSync(second, altered, { recursive: true });
    const [capture = ''] = readdirSync(join(altered, 'captures'));
    writeFileSync(join(altered, 'captures', capture), 'nothing');
    const before = runsIn(cwd).length;
    const cases: readonly [readonly string[], number, string][] = [
      [[first], 64, 'expected the runs of all 2 shards, found none of 2/2'],
      [[first, first, second], 64, 'shard 1/2 is there twice'],
      [[first, seeded], 64, 'their seed is not the same (1 and 5)'],
      [[first, whole], 64, 'which is of a whole selection'],
      [[first, altered], 77, 'measure again'],
      [[first, 'no-such-run'], 66, 'no-such-run'],
    ];
    for (const [runs, exitCode, words] of cases) {
      const merged = await evenfall(['merge', ...runs], { cwd });
      expect(merged.stderr).toContain(words);
      expect(merged.exitCode).toBe(exitCode);
    }
    expect(runsIn(cwd).length).toBe(before);
  });

  it('stores nothing when it is interrupted', async () => {
    const cwd = desk(library);
    const shards = [await run(cwd, '--shard', '1/2'), await run(cwd, '--shard', '2/2')];
    const archive = join(cwd, 'merged');
    const reports = { addCapture: () => {}, render: () => [] };
    const merging = mergeRuns(shards, { archive, reports, signal: AbortSignal.abort('SIGINT') });
    await expect(merging).rejects.toThrow('interrupted before everything was merged');
    expect(readdirSync(archive).filter((name) => name.includes('alcove'))).toEqual([]);
  });

  it('refuses shards whose spec files differ', async () => {
    const cwd = desk(library);
    const first = await run(cwd, '--shard', '1/2');
    writeFileSync(join(cwd, 'specs/d.spec.yaml'), dimmingSpec('short', ['6 %']));
    const second = await run(cwd, '--shard', '2/2');
    const merged = await evenfall(['merge', first, second], { cwd });
    expect(merged.exitCode).toBe(64);
    expect(merged.stderr).toContain('their spec files are not the same');
  });

  it.each([
    [['--shard', '3/2'], 'expected a part such as 2/5, found "3/2"'],
    [['--shard', '0/2'], 'expected a part such as 2/5'],
    [['--shard', '1/9'], 'found 9 shards of 4 claims; name fewer shards'],
  ])('run refuses %j', async (options, words) => {
    const { exitCode, stderr } = await evenfall(['run', 'specs', ...options], {
      cwd: desk(library),
    });
    expect(exitCode).toBe(64);
    expect(stderr).toContain(words);
  });
});

function bytesOf(folder: string, file: string): Buffer {
  const path = join(folder, 'captures', file);
  expect(statSync(path).size).toBeGreaterThan(0);
  return readFileSync(path);
}
