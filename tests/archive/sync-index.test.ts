import { mkdirSync, renameSync, rmSync } from 'node:fs';
import { basename, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { findRuns } from '../../harness/archive/find-runs.ts';
import { openIndex, type RunIndex } from '../../harness/archive/open-index.ts';
import { refreshDecisions } from '../../harness/archive/refresh-decisions.ts';
import { createRunFolder, resumeRunFolder } from '../../harness/archive/run-folder.ts';
import { syncIndex } from '../../harness/archive/sync-index.ts';
import {
  headerOf,
  sampleCapture,
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';
import { archiveOf } from './archive-of.ts';
import { scratchFolders } from './scratch.ts';
import { newPerson, sign } from './signed-run.ts';

const scratch = scratchFolders();

function runOf(number: number) {
  const two = String(number).padStart(2, '0');
  return sampleRecord({
    id: `${two}bbbbbb77de4a5c0b1d`,
    startedAt: `2026-03-05T05:06:${two}Z`,
    specs: [sampleSpec('fade-on-time', [sampleCondition({ findings: [sampleFinding()] })])],
  });
}

function runs(count: number) {
  return Array.from({ length: count }, (_, number) => runOf(number));
}

/** Statements that `work` has the index run. */
async function statements(index: RunIndex, work: () => Promise<unknown>): Promise<number> {
  const { prepare } = index;
  let count = 0;
  index.prepare = ((sql: string) => {
    count++;
    return prepare.call(index, sql);
  }) as RunIndex['prepare'];
  await work();
  index.prepare = prepare;
  return count;
}

describe('bringing the index up to the folders', () => {
  it('looks into no sealed run that it knows, and asks the same few questions however many there are', async () => {
    const counts: number[] = [];
    for (const many of [2, 30]) {
      const root = scratch();
      const paths = await archiveOf(root, runs(many));
      const index = openIndex(join(scratch(), 'index.sqlite'));
      expect(await syncIndex(index, root)).toMatchObject({ added: many });
      // Whoever looked into one of these would find no run.
      for (const path of paths) {
        rmSync(path, { recursive: true });
        mkdirSync(path);
      }
      counts.push(
        await statements(index, async () => {
          expect(await syncIndex(index, root)).toEqual({ added: 0, removed: 0, unreadable: [] });
        }),
      );
      index.close();
    }
    expect(counts[1]).toBe(counts[0]);
    expect(counts[0]).toBeLessThan(4);
  });

  it('reads one run for one that was added, and asks for it the same however many there are', async () => {
    const counts: number[] = [];
    for (const many of [2, 30]) {
      const root = scratch();
      await archiveOf(root, runs(many));
      const index = openIndex(join(scratch(), 'index.sqlite'));
      await syncIndex(index, root);
      await archiveOf(root, [runOf(40)]);
      counts.push(
        await statements(index, async () => {
          expect(await syncIndex(index, root)).toMatchObject({ added: 1, removed: 0 });
        }),
      );
      expect(findRuns(index)).toHaveLength(many + 1);
      index.close();
    }
    expect(counts[1]).toBe(counts[0]);
  });

  it('sees a run that took the place of another: as many as before, but not the same', async () => {
    const root = scratch();
    const [path] = await archiveOf(root, runs(3));
    const index = openIndex(join(scratch(), 'index.sqlite'));
    await syncIndex(index, root);
    rmSync(path!, { recursive: true });
    await archiveOf(root, [runOf(9)]);
    expect(await syncIndex(index, root)).toEqual({ added: 1, removed: 1, unreadable: [] });
    expect(findRuns(index).map(({ id }) => id.slice(0, 2))).toEqual(['09', '02', '01']);
    index.close();
  });

  it('drops a folder that was renamed, and says what it is called', async () => {
    const root = scratch();
    const [path] = await archiveOf(root, runs(2));
    const index = openIndex(join(scratch(), 'index.sqlite'));
    await syncIndex(index, root);
    renameSync(path!, `${path}-kept`);
    expect(await syncIndex(index, root)).toEqual({
      added: 0,
      removed: 1,
      unreadable: [expect.stringContaining(`whose folder is called ${basename(path!)}`)],
    });
    expect(findRuns(index)).toHaveLength(1);
    index.close();
  });

  it('reads an unfinished run again when it went on, and once more when it was sealed', async () => {
    const root = scratch();
    const index = openIndex(join(scratch(), 'index.sqlite'));
    const conditions = [0, 1].map((number) => {
      const file = `000${number}-light.npy`;
      const findings = [sampleFinding({ captures: ['light'] })];
      return sampleCondition({
        key: `point=${number}`,
        captures: [sampleCapture({ file })],
        findings,
      });
    });
    const record = sampleRecord({ specs: [sampleSpec('fade-on-time', conditions)] });
    const findings = () => findRuns(index)[0]!.findings['pass'] ?? 0;
    const codes = Int16Array.of(1, 2, 3, 4);
    const folder = await createRunFolder(root, headerOf(record));
    await folder.saveCapture(conditions[0]!.captures[0]!, codes);
    await folder.saveCondition('fade-on-time', conditions[0]!);
    await folder.close();
    expect(await syncIndex(index, root)).toMatchObject({ added: 1 });
    expect(findings()).toBe(1);
    expect(await syncIndex(index, root)).toMatchObject({ added: 0 });
    const { folder: resumed } = await resumeRunFolder(folder.path);
    await resumed.saveCapture(conditions[1]!.captures[0]!, codes);
    await resumed.saveCondition('fade-on-time', conditions[1]!);
    expect(await syncIndex(index, root)).toMatchObject({ added: 1 });
    expect(findings()).toBe(2);
    expect(findRuns(index)[0]!.sealed).toBe(false);
    await resumed.finish(record, []);
    expect(await syncIndex(index, root)).toMatchObject({ added: 1, removed: 0 });
    expect(findRuns(index)[0]!.sealed).toBe(true);
    index.close();
  });
});

describe('the decisions of the index', () => {
  it('follow sign-offs that came or went without it', async () => {
    const root = scratch();
    const [path] = await archiveOf(root, runs(2));
    const index = openIndex(join(scratch(), 'index.sqlite'));
    await syncIndex(index, root);
    const decisions = () => findRuns(index).map(({ decision }) => decision);
    expect(await refreshDecisions(index, root)).toBe(false);
    await sign(path!, newPerson('Mira'));
    expect(decisions()).toEqual([null, null]);
    expect(await refreshDecisions(index, root, findRuns(index))).toBe(true);
    expect(decisions()).toEqual([null, 'release']);
    expect(await refreshDecisions(index, root)).toBe(false);
    rmSync(join(path!, 'signoffs'), { recursive: true });
    expect(await refreshDecisions(index, root)).toBe(true);
    expect(decisions()).toEqual([null, null]);
    index.close();
  });
});
