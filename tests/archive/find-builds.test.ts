import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { addRun } from '../../harness/archive/add-run.ts';
import { findBuilds } from '../../harness/archive/find-builds.ts';
import { findFlaky } from '../../harness/archive/find-flaky.ts';
import { openIndex, type RunIndex } from '../../harness/archive/open-index.ts';
import { partOf, type RunPart } from '../../harness/record/run-part.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import type { Verdict } from '../../harness/verdict/verdict.ts';
import {
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';
import { scratchFolders } from './scratch.ts';

const scratch = scratchFolders();
const all = { builds: 20, depth: 100 };

interface Ran {
  readonly build: string;
  readonly claims: Readonly<Record<string, Verdict>>;
  readonly lamp?: string;
  readonly onRig?: string;
  readonly serial?: string;
  readonly part?: RunPart;
  readonly faults?: number;
  readonly ended?: RunRecord['ended'];
  readonly sealed?: boolean;
  /** Its bench was not good after the last claim. */
  readonly unproved?: boolean;
  /** What the digest of every spec file is made of. */
  readonly edition?: string;
}

const brokenBench: RunRecord['rig']['after'] = {
  ...{ state: 'broken', at: '2026-03-01T00:00:00Z', why: null },
  checks: [{ check: 'drift', result: 'broken', text: '3 %' }],
};

/** One run a day, in this order. */
function indexOf(runs: readonly Ran[]): RunIndex {
  const index = openIndex(join(scratch(), 'index.sqlite'));
  for (const [day, run] of runs.entries()) {
    const place = { folder: `f${day}`, sealed: run.sealed ?? true, journalBytes: null };
    addRun(index, recordOf(run, day), { ...place, decision: null });
  }
  return index;
}

const selections: Readonly<Record<RunPart, Partial<RunRecord['selection']>>> = {
  shard: { shard: { number: 1, of: 2, whole: [] } },
  claims: { only: ['fade'] },
};

function recordOf(run: Ran, day: number): RunRecord {
  const { build, claims, lamp = 'Alcove-6', onRig, serial = 'A6-0001', part, faults = 0 } = run;
  const specs = Object.entries(claims).map(([spec, verdict]) => {
    const condition = sampleCondition({
      findings: [sampleFinding({ verdict: verdict === 'not applicable' ? 'not run' : verdict })],
    });
    return sampleSpec(spec, [condition], { verdict, digest: (run.edition ?? 'ab').repeat(32) });
  });
  const sample = sampleRecord({ specs });
  return {
    ...sample,
    id: `${String(day).padStart(4, '0')}aaaa77de4a5c0b1d`,
    startedAt: new Date(Date.UTC(2026, 2, 1 + day)).toISOString(),
    ended: run.ended ?? 'complete',
    lamp: { ...sample.lamp, name: lamp, build, serial },
    rig: {
      ...{ ...sample.rig, name: onRig ?? 'simulated', simulated: onRig === undefined },
      ...(run.unproved && { after: brokenBench }),
    },
    selection: { ...sample.selection, ...(part && selections[part]) },
    faults: Array.from({ length: faults }, () => ({ fault: 'linear-dimming', size: 1 })),
  };
}

/** Of the first lamp: build, verdict and folder, row by row. */
function results(index: RunIndex, filter = all): string[] {
  return findBuilds(index, filter).builds.map(
    ({ build, cells: [cell] }) =>
      `${build} ${cell?.newest ? `${cell.newest.verdict} ${cell.newest.folder}` : cell && 'part'}`,
  );
}

describe('results by build and lamp', () => {
  it('are those of the newest run of each build, newest build first', () => {
    const index = indexOf([
      { build: '1.0', claims: { fade: 'pass' } },
      { build: '1.1', claims: { fade: 'fail' } },
      { build: '1.1', claims: { fade: 'pass' } },
    ]);
    expect(results(index)).toEqual(['1.1 pass f2', '1.0 pass f0']);
    expect(findBuilds(index, all).builds[0]?.cells[0]?.runs).toBe(2);
    index.close();
  });

  it('leave an old build in its place when it is run again', () => {
    const index = indexOf([
      { build: '1.0', claims: { fade: 'pass' } },
      { build: '1.1', claims: { fade: 'pass' } },
      { build: '1.0', claims: { fade: 'fail' } },
    ]);
    expect(results(index)).toEqual(['1.1 pass f1', '1.0 fail f2']);
    index.close();
  });

  it('are not of runs that are cut off, unsealed, faulty or a shard, and in a cell not of claims by name', () => {
    const good = { build: '1.0', claims: { fade: 'pass' } } as const;
    const index = indexOf([
      good,
      { ...good, claims: { fade: 'fail' }, ended: 'interrupted' },
      { ...good, claims: { fade: 'fail' }, sealed: false },
      { ...good, claims: { fade: 'fail' }, faults: 1 },
      { ...good, claims: { fade: 'fail' }, part: 'shard' },
      { ...good, claims: { fade: 'fail' }, part: 'claims' },
      { ...good, build: '1.1', part: 'claims' },
      { ...good, build: '1.2', part: 'shard' },
    ]);
    expect(results(index)).toEqual(['1.1 part', '1.0 pass f0']);
    index.close();
  });

  it('keep the simulated lamp apart from the real one', () => {
    const index = indexOf([
      { build: '1.0', claims: { fade: 'fail' }, onRig: 'rig 3' },
      { build: '1.0', claims: { fade: 'pass' } },
      { build: '1.0', claims: { fade: 'pass' }, lamp: 'Alcove-4' },
    ]);
    const { lamps, builds } = findBuilds(index, all);
    expect(lamps).toEqual([
      { lamp: 'Alcove-4', simulated: true },
      { lamp: 'Alcove-6', simulated: false },
      { lamp: 'Alcove-6', simulated: true },
    ]);
    expect(builds[0]?.cells.map((cell) => cell?.newest?.verdict)).toEqual(['pass', 'fail', 'pass']);
    index.close();
  });

  it('show as many builds as are asked for and say how many are older, and three of a lamp that others outran', () => {
    const pass = { fade: 'pass' } as const;
    const slow = [1, 2, 3, 4].map((n) => ({ build: `r${n}`, claims: pass, onRig: 'rig 3' }));
    const fast = Array.from({ length: 10 }, (_, n) => ({ build: `s${n}`, claims: pass }));
    const index = indexOf([...slow, ...fast]);
    const { builds, older } = findBuilds(index, { builds: 4, depth: 100 });
    expect(builds.map(({ build }) => build)).toEqual(['s9', 's8', 's7', 's6', 'r4', 'r3', 'r2']);
    expect(older).toBe(7);
    index.close();
  });

  it('are nothing in an empty archive', () => {
    const index = indexOf([]);
    expect(findBuilds(index, all)).toMatchObject({ lamps: [], builds: [], older: 0, broken: [] });
    index.close();
  });
});

/** `fade: 1.0 f0 -> 1.1 f1, now 1.2 f2` */
function breaks(index: RunIndex, filter = all): string[] {
  const told = (on: { build: string; run: { folder: string } } | null) =>
    on ? `${on.build} ${on.run.folder}` : 'none';
  return findBuilds(index, filter).broken.map(
    ({ spec, lastGood, firstBad, now }) =>
      `${spec}: ${told(lastGood)} -> ${told(firstBad)}, now ${told(now)}`,
  );
}

describe('the build that broke a claim', () => {
  it('is the first that failed after the last that passed', () => {
    const index = indexOf([
      { build: '1.0', claims: { fade: 'fail', dim: 'pass', mix: 'fail' } },
      { build: '1.1', claims: { fade: 'pass', dim: 'pass', mix: 'fail' } },
      { build: '1.2', claims: { fade: 'fail', dim: 'pass', mix: 'fail' } },
      { build: '1.3', claims: { fade: 'fail', dim: 'pass', mix: 'pass' } },
    ]);
    expect(breaks(index)).toEqual(['fade: 1.1 f1 -> 1.2 f2, now 1.3 f3']);
    index.close();
  });

  it('is told with how many builds in between decided nothing', () => {
    const index = indexOf([
      { build: '1.0', claims: { fade: 'pass' } },
      { build: '1.1', claims: { fade: 'inconclusive' } },
      { build: '1.2', claims: { fade: 'error' } },
      { build: '1.3', claims: { dim: 'pass' } },
      { build: '1.4', claims: { fade: 'fail' } },
      { build: '1.5', claims: { fade: 'inconclusive' } },
    ]);
    expect(breaks(index)).toEqual(['fade: 1.0 f0 -> 1.4 f4, now 1.4 f4']);
    expect(findBuilds(index, all).broken[0]?.between).toBe(3);
    index.close();
  });

  it('is narrowed down by trying versions in between afterwards, claim by claim', () => {
    const index = indexOf([
      { build: '1.1', claims: { fade: 'pass' } },
      { build: '1.10', claims: { fade: 'fail' } },
      { build: '1.4', claims: { fade: 'fail' }, part: 'claims' },
      { build: '1.3-rc.1', claims: { fade: 'pass' }, part: 'claims' },
    ]);
    expect(breaks(index)).toEqual(['fade: 1.3-rc.1 f3 -> 1.4 f2, now 1.10 f1']);
    expect(results(index)).toEqual(['1.10 fail f1', '1.4 part', '1.3-rc.1 part', '1.1 pass f0']);
    expect(findBuilds(index, all).order).toBe('versions');
    index.close();
  });

  it('is not sought among builds whose place nobody knows: names that are no versions, and no whole run', () => {
    const index = indexOf([
      { build: 'aa11', claims: { fade: 'pass' } },
      { build: 'cc33', claims: { fade: 'fail' } },
      { build: 'bb22', claims: { fade: 'pass' }, part: 'claims' },
    ]);
    expect(breaks(index)).toEqual(['fade: aa11 f0 -> cc33 f1, now cc33 f1']);
    expect(findBuilds(index, all).order).toBe('first runs');
    index.close();
  });

  it('is placed by its first whole run where its name is no version', () => {
    const index = indexOf([
      { build: 'bb22', claims: { fade: 'fail' }, part: 'claims' },
      { build: 'aa11', claims: { fade: 'pass' } },
      { build: 'bb22', claims: { fade: 'fail' } },
      { build: 'aa11', claims: { fade: 'pass' } },
    ]);
    expect(breaks(index)).toEqual(['fade: aa11 f3 -> bb22 f2, now bb22 f2']);
    index.close();
  });

  it('may be one on which the claim came out both ways, which is no last good one', () => {
    const index = indexOf([
      { build: '1.0', claims: { fade: 'pass' } },
      { build: '1.1', claims: { fade: 'fail' } },
      { build: '1.1', claims: { fade: 'pass' } },
      { build: '1.2', claims: { fade: 'fail' } },
    ]);
    expect(breaks(index)).toEqual(['fade: 1.0 f0 -> 1.1 f1, now 1.2 f3']);
    expect(findBuilds(index, all).broken[0]?.firstBad).toMatchObject({ passed: 1, failed: 1 });
    index.close();
  });

  it('is asked for only where the newest run of the newest build failed', () => {
    const index = indexOf([
      { build: '1.0', claims: { fade: 'fail' } },
      { build: '1.0', claims: { fade: 'pass' } },
    ]);
    expect(breaks(index)).toEqual([]);
    index.close();
  });

  it('is not known where none passed that was looked at', () => {
    const index = indexOf([
      { build: '1.0', claims: { fade: 'pass' } },
      { build: '1.1', claims: { fade: 'fail' } },
      { build: '1.2', claims: { fade: 'fail' } },
    ]);
    const few = { builds: 20, depth: 2 };
    expect(breaks(index, few)).toEqual(['fade: none -> 1.1 f1, now 1.2 f2']);
    expect(findBuilds(index, few).broken[0]).toMatchObject({ lookedAt: 2, changed: [] });
    index.close();
  });

  it('is found far back, and there the claims alone are asked for that have not passed yet', () => {
    const runs = Array.from(
      { length: 90 },
      (_, n): Ran => ({
        build: `b${n}`,
        claims: { fade: n < 5 ? 'pass' : 'fail', dim: n < 80 ? 'pass' : 'fail' },
      }),
    );
    const index = indexOf(runs);
    expect(breaks(index)).toEqual([
      'dim: b79 f79 -> b80 f80, now b89 f89',
      'fade: b4 f4 -> b5 f5, now b89 f89',
    ]);
    index.close();
  });

  it('is told apart by lamp and bench, and with what else changed', () => {
    const index = indexOf([
      { build: '1.0', claims: { fade: 'pass' }, onRig: 'rig 1' },
      { build: '1.0', claims: { fade: 'pass' } },
      { build: '1.1', claims: { fade: 'fail' }, onRig: 'rig 2', serial: 'A6-2', edition: 'cd' },
      { build: '1.1', claims: { fade: 'fail' } },
      { build: '1.1', claims: { fade: 'pass' }, lamp: 'Alcove-4' },
    ]);
    const { broken } = findBuilds(index, all);
    expect(broken.map(({ simulated, changed }) => [simulated, changed])).toEqual([
      [true, []],
      [false, ['spec', 'rig', 'lamp']],
    ]);
    index.close();
  });
});

it('what a bench measured that was not good after the last claim counts for no build, broke none and is not flaky', () => {
  const runs = (unproved: boolean): RunIndex =>
    indexOf([
      { build: '1.0.0', claims: { fade: 'pass' } },
      { build: '1.1.0', claims: { fade: 'pass' } },
      { build: '1.1.0', claims: { fade: 'fail' }, unproved },
    ]);
  const told = (index: RunIndex) => {
    const { builds, broken } = findBuilds(index, all);
    const newest = builds[0]?.cells[0]?.newest?.claims['pass'];
    return { newest, broken: broken.length, flaky: findFlaky(index, { last: 10 }).length };
  };
  expect(told(runs(false))).toEqual({ newest: 0, broken: 1, flaky: 1 });
  expect(told(runs(true))).toEqual({ newest: 1, broken: 0, flaky: 0 });
});

it('a claim is not flaky because a shard and the merged run both tell of it', () => {
  const runs: Ran[] = [
    { build: '1.0', claims: { fade: 'fail' }, part: 'shard' },
    { build: '1.0', claims: { fade: 'pass' } },
    { build: '1.0', claims: { dim: 'fail' } },
    { build: '1.0', claims: { dim: 'pass' } },
  ];
  const index = indexOf(runs);
  const flaky = findFlaky(index, { last: 10 }).map(({ spec }) => spec);
  expect(flaky).toEqual(['dim']);
  index.close();
});

it('a run is of a part where it is a shard or its claims were picked by name', () => {
  const { selection } = sampleRecord();
  expect(partOf({ selection })).toBeNull();
  expect(partOf({ selection: { ...selection, tags: ['commit'] } })).toBeNull();
  expect(partOf({ selection: { ...selection, failedIn: 'aaaa' } })).toBe('claims');
  const shard = { ...selection, ...selections.shard, only: ['fade'] };
  expect(partOf({ selection: shard })).toBe('shard');
});
