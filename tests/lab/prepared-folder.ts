import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, renameSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openLab } from '../../harness/lab/lab.ts';

/** Of all files of a run of the tests; `tests/set-up.ts` clears it away. */
const prepared = join(process.env['EVENFALL_PROGRAM'] ?? '', '../lab');

/**
 * Puts into `folder` what a lab has there when it has begun and nobody has used it. To begin one takes three seconds of processor
 * time, most of it PostgreSQL's initdb; the first who asks does, and the others copy what it left.
 */
export async function prepareFolder(folder: string): Promise<void> {
  if (!existsSync(prepared)) await prepare();
  execFileSync('cp', ['-a', `${prepared}/.`, folder]);
}

async function prepare(): Promise<void> {
  const own = mkdtempSync(join(tmpdir(), 'evenfall-lab-'));
  const lab = await openLab({
    ...{ folder: own, archive: join(own, 'reports'), database: undefined },
    ...{ silence: 30, attempts: 3, keepFiles: 86_400, policyFile: null, news: null, env: {} },
    reports: () => ({ addCapture: () => {}, render: () => [] }),
    signal: new AbortController().signal,
    onError: (error) => {
      throw error;
    },
  });
  await lab.close();
  const copy = `${prepared}-of-${process.pid}`;
  execFileSync('cp', ['-a', own, copy]);
  rmSync(own, { recursive: true });
  renameOnce(copy, prepared);
}

/** A whole folder appears at once; the one that another file has put there meanwhile stays. */
function renameOnce(from: string, to: string): void {
  try {
    renameSync(from, to);
  } catch (error) {
    if (!existsSync(to)) throw error;
    rmSync(from, { recursive: true });
  }
}
