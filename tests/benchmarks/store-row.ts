import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { open } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createRunFolder } from '../../harness/archive/run-folder.ts';
import type { CaptureRecord } from '../../harness/record/run-record.ts';
import { headerOf, sampleCapture, sampleRecord } from '../record/sample-record.ts';
import { inTurn, type Row, timed } from './row.ts';

const captures = 200;
const samples = 1e6;
const codes = Int16Array.from({ length: samples }, (_, k) => (k * 7919) % 65_536);

/** A run that stores its captures, hashed, each whole or not at all, flushed; beside files of the same bytes, flushed. */
export async function storeRow(runs: number): Promise<Row> {
  const times = await inTurn(
    runs,
    () => inFolder(storeRun),
    () => inFolder(storePlainly),
  );
  return {
    name: 'writing a run with 200 captures of 1 MS',
    unit: 's',
    ...times,
    yardstick: 'plain files of the same bytes, flushed',
    kind: 'cost',
    goal: 1.5,
  };
}

async function inFolder(work: (folder: string) => Promise<void>): Promise<number> {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-bench-'));
  try {
    return await timed(() => work(folder));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function storeRun(root: string): Promise<void> {
  const record = sampleRecord();
  const folder = await createRunFolder(root, headerOf(record));
  for (let k = 0; k < captures; k++) await folder.saveCapture(captureOf(k), codes);
  await folder.finish({ ...record, specs: [] }, []);
}

function captureOf(k: number): CaptureRecord {
  return sampleCapture({ file: `${String(k).padStart(4, '0')}-light.codes`, samples });
}

async function storePlainly(folder: string): Promise<void> {
  mkdirSync(join(folder, 'plain'));
  const bytes = new Uint8Array(codes.buffer);
  const flushed: Promise<void>[] = [];
  for (let k = 0; k < captures; k++) {
    const file = await open(join(folder, 'plain', `${k}.npy`), 'w');
    await file.writeFile(bytes);
    flushed.push(file.datasync().then(() => file.close()));
  }
  await Promise.all(flushed);
}
