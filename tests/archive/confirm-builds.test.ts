import { writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { expect, it } from 'vitest';
import { confirmBuilds } from '../../harness/archive/confirm-builds.ts';
import { openIndex, type RunIndex } from '../../harness/archive/open-index.ts';
import { syncIndex } from '../../harness/archive/sync-index.ts';
import {
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';
import { archiveOf } from './archive-of.ts';
import { scratchFolders } from './scratch.ts';

const scratch = scratchFolders();
const all = { builds: 20, depth: 100 };

function runOf(day: number, verdict: 'pass' | 'fail') {
  const finding = sampleFinding({ verdict, reason: verdict === 'fail' ? 'late' : null });
  const sample = sampleRecord({
    id: `0${day}aaaaaa77de4a5c0b1d`,
    startedAt: `2026-03-0${day}T05:06:07Z`,
    specs: [sampleSpec('fade-on-time', [sampleCondition({ findings: [finding] })])],
  });
  return { ...sample, lamp: { ...sample.lamp, build: `1.${day}` } };
}

/** Build 1.1 passed, 1.2 and 1.3 failed. */
async function archive() {
  const root = scratch();
  const paths = await archiveOf(root, [runOf(1, 'pass'), runOf(2, 'fail'), runOf(3, 'fail')]);
  const index = openIndex(join(root, 'index.sqlite'));
  await syncIndex(index, root);
  return { root, index, folders: paths.map((path) => basename(path)) };
}

async function told(index: RunIndex, root: string) {
  const { table, altered } = await confirmBuilds(index, root, all);
  return {
    cells: table.builds.map(({ build, cells }) => `${build} ${cells[0]?.newest?.verdict}`),
    broken: table.broken.map(({ lastGood, firstBad }) => `${lastGood?.build} ${firstBad.build}`),
    altered: [...altered.keys()],
  };
}

const sound = { cells: ['1.3 fail', '1.2 fail', '1.1 pass'], broken: ['1.1 1.2'], altered: [] };

it('says what the records say', async () => {
  const { root, index } = await archive();
  expect(await told(index, root)).toEqual(sound);
  index.close();
});

it.each([
  ['a verdict of a run', "UPDATE run SET verdict = 'pass' WHERE build = '1.3'"],
  [
    'a verdict of a claim',
    "UPDATE claim SET verdict = 'pass' WHERE run = (SELECT max(run) FROM run)",
  ],
  [
    'where a claim broke',
    "UPDATE claim SET verdict = 'fail' WHERE run = (SELECT min(run) FROM run)",
  ],
  ['a build', "UPDATE run SET build = '9.9' WHERE build = '1.1'"],
  ['the bench', "UPDATE run SET simulated = 0 WHERE build = '1.1'"],
  ['the part', "UPDATE run SET part = NULL, rig = 'rig 3' WHERE build = '1.2'"],
])('does not show what somebody wrote into the index of %s, and mends it', async (_, change) => {
  const { root, index } = await archive();
  index.exec(change);
  expect(await told(index, root)).toEqual(sound);
  index.close();
});

it('names runs that were altered', async () => {
  const { root, index, folders } = await archive();
  const [, second = ''] = folders;
  writeFileSync(join(root, second, 'run.json'), '{}');
  expect((await told(index, root)).altered).toEqual([second]);
  index.close();
});
