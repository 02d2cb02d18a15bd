import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { addRun } from '../../harness/archive/add-run.ts';
import { findBuilds } from '../../harness/archive/find-builds.ts';
import { findRuns } from '../../harness/archive/find-runs.ts';
import { findTrend } from '../../harness/archive/find-trend.ts';
import { openIndex, type RunIndex } from '../../harness/archive/open-index.ts';
import { syncIndex } from '../../harness/archive/sync-index.ts';
import {
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';
import { scratchFolders } from './scratch.ts';

const scratch = scratchFolders();
/** A claim that fails: builds before are asked for it. */
const failed = sampleSpec('fade-on-time', [
  sampleCondition({ findings: [sampleFinding({ verdict: 'fail' })] }),
]);
const place = { folder: 'f', sealed: true, journalBytes: null, decision: null };

/** How SQLite would go about every statement that `work` prepares, one line per step. */
function plansOf(index: RunIndex, work: () => unknown): string[] {
  const watched = watch(index);
  work();
  return watched();
}

async function plansOfAsync(index: RunIndex, work: () => Promise<unknown>): Promise<string[]> {
  const watched = watch(index);
  await work();
  return watched();
}

function watch(index: RunIndex): () => string[] {
  const statements: string[] = [];
  const { prepare } = index;
  index.prepare = ((sql: string) => {
    statements.push(sql);
    return prepare.call(index, sql);
  }) as RunIndex['prepare'];
  return () => {
    index.prepare = prepare;
    return statements.flatMap((sql) => {
      const bare = sql.replace(/[@?]\w*/g, 'NULL');
      const steps = index.prepare(`EXPLAIN QUERY PLAN ${bare}`).all() as { detail: string }[];
      return steps.map(({ detail }) => detail);
    });
  };
}

function filledIndex(): RunIndex {
  const index = openIndex(join(scratch(), 'index.sqlite'));
  addRun(index, sampleRecord(), place);
  return index;
}

/** A step that looks at every row of a table: the number of runs would show in it. */
const walks = /^SCAN (?!CONSTANT)/;
const sorts = /TEMP B-TREE/;

describe('the number of runs in the index', () => {
  it('does not slow the adding of a run: every step finds its rows by a key', () => {
    const index = filledIndex();
    const plans = plansOf(index, () => addRun(index, sampleRecord(), place));
    expect(plans.length).toBeGreaterThan(3);
    expect(plans.filter((step) => walks.test(step))).toEqual([]);
    index.close();
  });

  it('does not slow a trend: a series is one stretch, read from its end', () => {
    const index = filledIndex();
    const plans = plansOf(index, () => findTrend(index, { metric: 'fade-duration', last: 5 }));
    expect(plans).toContainEqual(
      expect.stringMatching(/^SEARCH f USING PRIMARY KEY \(series=\?\)/),
    );
    expect(plans.filter((step) => walks.test(step))).toEqual([]);
    index.close();
  });

  it('does not slow the list: the newest runs come off the end, unsorted', () => {
    const index = filledIndex();
    const plans = plansOf(index, () => findRuns(index, { limit: 40 }));
    expect(plans.filter((step) => sorts.test(step))).toEqual([]);
    index.close();
  });

  it('does not slow the look at what was added: names come from a key, unfinished runs from a list of theirs', async () => {
    const root = scratch();
    const index = openIndex(join(root, 'index.sqlite'));
    const plans = await plansOfAsync(index, () => syncIndex(index, root, []));
    expect(plans).toContainEqual(expect.stringMatching(/^SCAN run USING COVERING INDEX/));
    expect(plans).toContainEqual(expect.stringMatching(/^SCAN run USING INDEX run_unsealed/));
    expect(plans.filter((step) => /^SCAN run$/.test(step) || sorts.test(step))).toEqual([]);
    index.close();
  });

  it('does not slow the queue of sign-offs: decisions come from a list of theirs, unsorted', () => {
    const index = filledIndex();
    const plans = plansOf(index, () => findRuns(index, { signOff: 'decided', limit: 10 }));
    expect(plans).toContainEqual(expect.stringMatching(/run_decided/));
    expect(plans.filter((step) => sorts.test(step))).toEqual([]);
    index.close();
  });

  it('hardly slows the builds by lamps: their names come from a list of theirs, their claims from keys', () => {
    const index = filledIndex();
    // More builds than are asked for all of their claims at once.
    for (let build = 0; build < 30; build++) {
      const record = sampleRecord({ id: `${build}aaaaaaaaaaaa`, specs: [failed] });
      const lamp = { ...record.lamp, build: `${build}` };
      addRun(index, { ...record, lamp }, { ...place, folder: `f${build}` });
    }
    const plans = plansOf(index, () => findBuilds(index, { builds: 20, depth: 100 }));
    const ofRuns = plans.filter((step) => /^(SCAN|SEARCH) run /.test(step));
    expect(ofRuns.length).toBeGreaterThan(4);
    for (const step of ofRuns) expect(step).toMatch(/run_by_build|INTEGER PRIMARY KEY/);
    const asked = plans.findIndex((step) => /^SCAN asked/.test(step));
    expect(plans[asked + 1]).toMatch(/^SEARCH claim USING PRIMARY KEY \(run=\? AND spec=\?\)/);
    expect(plans.filter((step) => /^SCAN (run$|claim)/.test(step))).toEqual([]);
    index.close();
  });

  it('is not kept in the way of replacing a run: the same run twice is one run', () => {
    const index = filledIndex();
    addRun(index, sampleRecord({ verdict: 'fail' }), place);
    expect(findRuns(index).map(({ verdict }) => verdict)).toEqual(['fail']);
    expect(index.prepare('SELECT count(*) FROM finding').pluck().get()).toBe(1);
    index.close();
  });
});
