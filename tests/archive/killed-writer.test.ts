import { spawn } from 'node:child_process';
import { existsSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';
import { beforeAll, expect, it } from 'vitest';
import { brokenFiles } from '../../harness/archive/broken-files.ts';
import { readManifest } from '../../harness/archive/manifest.ts';
import { readRun } from '../../harness/archive/read-run.ts';
import { resumeRunFolder } from '../../harness/archive/run-folder.ts';
import { shortId } from '../../harness/record/ids.ts';
import { scratchFolders } from './scratch.ts';

/** 200 kills take half a minute on a machine with nothing else to do; a commit is held against 12. EVENFALL_FULL=1 asks for all. */
const kills = process.env['EVENFALL_FULL'] ? 200 : 12;
/** ms; no speed that is asked for, but the end of all waiting on a machine that does ten things at once. */
const patience = kills * 4_000 + 120_000;

const scratch = scratchFolders();
let writer: string;

beforeAll(async () => {
  writer = join(import.meta.dirname, '../../node_modules/.cache/tireless-writer.mjs');
  await build({
    entryPoints: [join(import.meta.dirname, 'tireless-writer.ts')],
    bundle: true,
    platform: 'node',
    format: 'esm',
    outfile: writer,
    logLevel: 'error',
  });
});

/** Starts a writer, kills it without warning, and returns what it had promised by then. */
function killed(root: string, after: string, milliseconds: number): Promise<string[]> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [writer, root], { stdio: ['ignore', 'pipe', 'inherit'] });
    let text = '';
    let armed = false;
    child.stdout.on('data', (piece: Buffer) => {
      text += piece.toString();
      if (armed || !text.includes(after)) return;
      armed = true;
      setTimeout(() => child.kill('SIGKILL'), milliseconds);
    });
    child.on('error', reject);
    child.on('close', () => resolve(text.split('\n').slice(1, -1)));
  });
}

/** Checks every run in the folder; says whether one of them was cut off. */
async function checkSound(root: string, promises: readonly string[]): Promise<boolean> {
  let cutOff = false;
  for (const name of readdirSync(root).filter((found) => !found.startsWith('.'))) {
    const path = join(root, name);
    const promised = promises.filter((line) => name.endsWith(shortId(line.split(' ')[1]!)));
    const { record, sealed } = await readRun(path);
    const conditions = record.specs[0]!.conditions.length;
    expect(record.ended).toBe(sealed ? 'complete' : 'unfinished');
    if (sealed) {
      expect(conditions).toBe(4);
      expect(await brokenFiles(path, (await readManifest(path))!)).toEqual([]);
    } else {
      cutOff = true;
      expect(promised.filter((line) => line.startsWith('sealed'))).toEqual([]);
      expect(conditions).toBeGreaterThanOrEqual(promised.length);
      const { folder } = await resumeRunFolder(path);
      await folder.finish({ ...record, ended: 'interrupted' }, []);
      expect(await brokenFiles(path, (await readManifest(path))!)).toEqual([]);
    }
  }
  return cutOff;
}

it(
  `leaves the archive sound when it is killed at any of ${kills} moments`,
  async () => {
    const root = scratch();
    let cutOff = 0;
    let left = kills;
    const lane = async (): Promise<void> => {
      while (left > 0) {
        const number = --left;
        const own = join(root, String(number));
        // The first run of a process is slow to begin with: a fifth of the kills falls into that, the others later.
        const after = number % 5 === 0 ? 'ready' : 'condition';
        const promises = await killed(own, after, Math.random() * 60);
        if (!existsSync(own) && promises.length === 0) continue;
        if (await checkSound(own, promises)) cutOff++;
        rmSync(own, { recursive: true, force: true });
      }
    };
    await Promise.all([lane(), lane()]);
    // The moments must have hit the writing itself, or nothing was tested.
    expect(cutOff).toBeGreaterThan(kills / 3);
  },
  patience,
);
