import { spawn, spawnSync } from 'node:child_process';
import { cpSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';
import { beforeAll, describe, expect, it } from 'vitest';
import { addRun } from '../../harness/archive/add-run.ts';
import { findRuns } from '../../harness/archive/find-runs.ts';
import { openIndex } from '../../harness/archive/open-index.ts';
import { sampleRecord } from '../record/sample-record.ts';
import { scratchFolders } from './scratch.ts';

const scratch = scratchFolders();
const writer = join(import.meta.dirname, '../../node_modules/.cache/index-writer.mjs');

beforeAll(async () => {
  await build({
    entryPoints: [join(import.meta.dirname, 'index-writer.ts')],
    bundle: true,
    platform: 'node',
    format: 'esm',
    external: ['@photostructure/sqlite'],
    outfile: writer,
    logLevel: 'error',
  });
});

/** Starts a writer of `index`; resolves at its end with the ids that it said were in. `killAfter` counts them. */
function write(
  index: string,
  who: string,
  count: number,
  killAfter = count + 1,
): Promise<string[]> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [writer, index, who, String(count)], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let text = '';
    child.stdout.on('data', (piece: Buffer) => {
      text += piece.toString();
      if (text.split('\n').length > killAfter) child.kill('SIGKILL');
    });
    child.on('error', reject);
    child.on('close', () => resolve(text.split('\n').slice(0, -1)));
  });
}

/** The ids in an index that is sound, after one more run was added to it. */
function idsAfterOneMore(file: string, id: string): string[] {
  const index = openIndex(file);
  try {
    expect(index.prepare('PRAGMA integrity_check').pluck().all()).toEqual(['ok']);
    const place = { folder: id, sealed: true, journalBytes: null, decision: null };
    addRun(index, sampleRecord({ id, startedAt: '2026-04-01T00:00:00Z' }), place);
    return findRuns(index).map((row) => row.id);
  } finally {
    index.close();
  }
}

describe('the index', () => {
  it('is sound, complete and open to the next process when its writer is killed at any of 8 moments', async () => {
    const file = join(scratch(), 'index.sqlite');
    for (let kill = 0; kill < 8; kill++) {
      const who = `aa${String(kill).padStart(2, '0')}`;
      const said = await write(file, who, 100_000, 1 + kill * 7);
      expect(said.length).toBeGreaterThan(kill * 7);
      const ids = new Set(idsAfterOneMore(file, `bb${kill}`));
      expect(said.filter((id) => !ids.has(id))).toEqual([]);
      expect(ids).toContain(`bb${kill}`);
    }
  }, 240_000);

  it('takes in all that two processes add at once, and opens for both where neither finds it', async () => {
    // One of four openings at once met the other before both waited for each other.
    for (let round = 0; round < 12; round++) {
      const file = join(scratch(), 'index.sqlite');
      const said = await Promise.all([write(file, 'aaaa', 15), write(file, 'bbbb', 15)]);
      expect(said.map((ids) => ids.length)).toEqual([15, 15]);
      expect(idsAfterOneMore(file, 'cccc').sort()).toEqual([...said.flat(), 'cccc'].sort());
    }
  }, 240_000);
});

/** A program in a folder of its own, with these of our packages installed beside it; writes one run. */
function writeFrom(folder: string, packages: readonly string[]) {
  const modules = join(import.meta.dirname, '../../node_modules');
  for (const name of packages)
    cpSync(join(modules, name), join(folder, 'node_modules', name), { recursive: true });
  cpSync(writer, join(folder, 'writer.mjs'));
  const args = [join(folder, 'writer.mjs'), join(folder, 'index.sqlite'), 'aaaa', '1'];
  return spawnSync(process.execPath, args, { encoding: 'utf8' });
}

describe('the code of SQLite', () => {
  const binary = `@photostructure/sqlite/prebuilds/${process.platform}-${process.arch}`;
  const parts = ['package.json', 'dist', 'LICENSE'].map((part) => `@photostructure/sqlite/${part}`);

  it('is found in a folder whose name a URL would change', () => {
    const wrote = writeFrom(join(scratch(), 'a b (c) %20'), [...parts, binary, 'node-gyp-build']);
    expect(wrote.stderr).toBe('');
    expect(wrote.stdout).toMatch(/^aaaa/);
  });

  it('is asked for in a sentence where it has no binary for the computer', () => {
    const wrote = writeFrom(scratch(), [...parts, 'node-gyp-build']);
    expect(wrote.stderr).toMatch(
      /the list of runs needs SQLite, which cannot be loaded on this computer \(.*Node v.*\): .*; run npm ci again\. Running specs needs no SQLite/,
    );
  });
});
