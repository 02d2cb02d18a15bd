import { spawnSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { mutationGroups } from './groups.ts';
import { sampledRange } from './sampled-range.ts';

/** The whole run takes the better part of an hour; these lines change with the code. */
it('kills most mutants of the lines of the verdict room that its own text draws', () => {
  const run = spawnSync(
    process.execPath,
    ['--import', 'tsx', 'tests/mutation/mutate.ts', 'verdict', '--sample', '8', '--least', '0.5'],
    { encoding: 'utf8', env: { ...process.env, NO_COLOR: '1' } },
  );
  expect(run.stdout + run.stderr).toMatch(/verdict: \d+ of \d+ mutants killed/);
  expect(run.status, run.stdout).toBe(0);
}, 240_000);

it('draws lines that each group has', () => {
  for (const group of mutationGroups)
    expect(sampledRange(group, 25), group.name).toEqual([
      {
        file: expect.stringMatching(/^harness\/.*\.ts$/),
        first: expect.any(Number),
        last: expect.any(Number),
      },
    ]);
});

it('says what there is when a group is unknown', () => {
  const run = spawnSync(
    process.execPath,
    ['--import', 'tsx', 'tests/mutation/mutate.ts', 'flickr'],
    { encoding: 'utf8' },
  );
  expect(run.status).not.toBe(0);
  expect(run.stderr).toContain('no mutation group flickr; there are verdict, judge, flicker');
});
