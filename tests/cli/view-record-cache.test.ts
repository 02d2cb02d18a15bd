import { readFileSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { sealedRecord } from '../../harness/cli/view/record-cache.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { sealedRun } from '../archive/signed-run.ts';

const scratch = scratchFolders();

/** As the clock stands a minute after the last change of the file. */
function later(file: string): number {
  return statSync(file).ctimeMs + 60_000;
}

it('a record that did not change is read once; one that changed is read again, whatever its times say', async () => {
  const folder = await sealedRun(scratch(), { seed: 1 });
  const file = join(folder, 'run.json');
  utimesSync(file, 1_700_000_000, 1_700_000_000);
  const first = await sealedRecord(folder, later(file));
  expect(await sealedRecord(folder, later(file))).toBe(first);
  writeFileSync(file, readFileSync(file, 'utf8').replace('"seed":1,', '"seed":2,'));
  utimesSync(file, 1_700_000_000, 1_700_000_000);
  expect((await sealedRecord(folder, later(file))).seed).toBe(2);
});

it('a record that was written a moment ago is not kept', async () => {
  const folder = await sealedRun(scratch());
  const now = statSync(join(folder, 'run.json')).ctimeMs + 100;
  expect(await sealedRecord(folder, now)).not.toBe(await sealedRecord(folder, now));
});

it('only the last few records are kept', async () => {
  const folders = await Promise.all([1, 2, 3, 4].map(() => sealedRun(scratch())));
  const read = async (folder: string) => sealedRecord(folder, later(join(folder, 'run.json')));
  const first = await read(folders[0]!);
  for (const folder of folders.slice(1)) await read(folder);
  expect(await read(folders[0]!)).not.toBe(first);
});
