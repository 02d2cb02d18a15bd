import { randomFillSync } from 'node:crypto';
import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ArchiveError } from '../../harness/archive/archive-error.ts';
import { readRun } from '../../harness/archive/read-run.ts';
import { createRunFolder, resumeRunFolder } from '../../harness/archive/run-folder.ts';
import {
  headerOf,
  sampleCapture,
  sampleCondition,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';

/** Fills a small disk by storing `what` until it is full, then frees some space and goes on. Prints what was found. */
const [root = '', what = ''] = process.argv.slice(2);
// Stands for what a person can delete.
writeFileSync(join(root, 'ballast'), new Uint8Array(600_000));
const full = sampleRecord({ specs: [sampleSpec('a', [])] });
const folder = await createRunFolder(root, headerOf(full));
const samples = what === 'capture' ? 40_000 : 10;
const claim = what === 'condition' ? 'x'.repeat(50_000) : '';
/** What no packing makes smaller. */
function noise(): Int16Array {
  return randomFillSync(new Int16Array(samples));
}

let saved = 0;
let error: unknown;
const conditions = [];
try {
  for (;;) {
    const capture = sampleCapture({ file: `${saved}.codes`, samples });
    const condition = sampleCondition({ key: `n=${saved}`, reason: claim, captures: [capture] });
    await folder.saveCapture(capture, noise());
    await folder.saveCondition('a', condition);
    conditions.push(condition);
    saved++;
    if (what === 'report' && saved === 3) {
      const record = sampleRecord({ specs: [sampleSpec('a', conditions)] });
      await folder.finish(record, [{ name: 'index.html', content: 'x'.repeat(2_000_000) }]);
    }
  }
} catch (thrown) {
  error = thrown;
}
await folder.close();
const { record } = await readRun(folder.path);
const found = record.specs[0]!.conditions.length;
rmSync(join(root, 'ballast'));
const { folder: again } = await resumeRunFolder(folder.path);
await again.finish({ ...record, ended: 'complete' }, []);
const after = await readRun(folder.path);
const resumed = `${after.record.ended} with ${after.record.specs[0]!.conditions.length}`;
const { kind, message } =
  error instanceof ArchiveError ? error : { kind: 'other', message: String(error) };
process.stdout.write(JSON.stringify({ kind, message, conditions: found, saved, resumed }));
