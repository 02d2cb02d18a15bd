import { spawn, spawnSync } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { build } from 'esbuild';
import { beforeAll, describe, expect, it } from 'vitest';
import { withFileLock } from '../../harness/archive/file-lock.ts';
import { scratchFolders } from './scratch.ts';

const scratch = scratchFolders();
const holder = join(import.meta.dirname, '../../node_modules/.cache/lock-holder.mjs');

beforeAll(() =>
  build({
    entryPoints: [join(import.meta.dirname, 'lock-holder.ts')],
    ...{ bundle: true, platform: 'node', format: 'esm', outfile: holder, logLevel: 'error' },
  }),
);

describe('a lock', () => {
  it('is held by one at a time within a process', async () => {
    const file = join(scratch(), 'ledger.lock');
    let inside = 0;
    let most = 0;
    const hold = async (): Promise<void> => {
      most = Math.max(most, ++inside);
      await setImmediate();
      inside--;
    };
    for (let round = 0; round < 3; round++)
      await Promise.all(Array.from({ length: 20 }, () => withFileLock(file, hold)));
    expect(most).toBe(1);
  });

  it('is held by one at a time of several processes, some of which are killed with it', async () => {
    const folder = scratch();
    const file = join(folder, 'ledger.lock');
    const { pid } = spawnSync('true');
    const ends = Array.from({ length: 6 }, async () => {
      const child = spawn(process.execPath, [holder, file, '60', `${pid}`]);
      let said = '';
      child.stderr.on('data', (piece) => (said += piece));
      await new Promise((resolve) => child.once('close', resolve));
      return said;
    });
    expect(await Promise.all(ends)).toEqual(['', '', '', '', '', '']);
    // At most the last one's, which was killed.
    expect(readdirSync(folder).filter((name) => name !== 'ledger.lock')).toEqual([]);
  });
});
