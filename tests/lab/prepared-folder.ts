import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, renameSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openLab } from '../../harness/lab/lab.ts';

/** Beside the program that `tests/set-up.ts` builds, which clears both away: of all files of a run of the tests. */
function preparedPlace(): string {
  const program = process.env['EVENFALL_PROGRAM'];
  if (!program) throw new Error('expected a run of vitest: tests/set-up.ts has not run');
  return join(program, '../lab');
}

/**
 * Puts into `folder` what a lab has there when it has begun and nobody has used it. To begin one takes three seconds of processor
 * time, most of it PostgreSQL's initdb; the first who asks does, and the others copy what it left.
 */
export async function prepareFolder(folder: string): Promise<void> {
  const prepared = preparedPlace();
  if (!existsSync(prepared)) await prepare(prepared);
  execFileSync('cp', ['-a', `${prepared}/.`, folder]);
}

async function prepare(place: string): Promise<void> {
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
  const copy = `${place}-of-${process.pid}`;
  execFileSync('cp', ['-a', own, copy]);
  rmSync(own, { recursive: true });
  renameOnce(copy, place);
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
