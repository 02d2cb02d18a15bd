import { newRunId } from '../../harness/archive/new-run-id.ts';
import { createRunFolder } from '../../harness/archive/run-folder.ts';
import { totalsOf } from '../../harness/record/totals.ts';
import {
  headerOf,
  sampleCapture,
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';

/**
 * A process that stores one run after another until it is killed. What it prints is a promise: `condition ID N` once N
 * conditions of a run are stored, `sealed ID` once a run is finished.
 */
const root = process.argv[2]!;
const samples = Number(process.argv[3] ?? 20_000);

function randomRun() {
  const conditions = Array.from({ length: 4 }, (_, index) => {
    const file = `${String(index).padStart(4, '0')}-light.codes`;
    const capture = sampleCapture({ file, samples });
    const findings = Array.from({ length: 20 }, (_, of) =>
      sampleFinding({
        of: `channel-${of}`,
        captures: [capture.id],
        value: 2 + Math.random() / 100,
      }),
    );
    return sampleCondition({ key: `point=${index}`, captures: [capture], findings });
  });
  const specs = [sampleSpec('a', conditions)];
  return sampleRecord({ id: newRunId(), specs, totals: totalsOf(specs, 1) });
}

process.stdout.write('ready\n');
for (;;) {
  const record = randomRun();
  const folder = await createRunFolder(root, headerOf(record));
  for (const [index, condition] of record.specs[0]!.conditions.entries()) {
    const codes = Int16Array.from({ length: samples }, (_, k) => k + index);
    await folder.saveCapture(condition.captures[0]!, codes);
    await folder.saveCondition('a', condition);
    process.stdout.write(`condition ${record.id} ${index + 1}\n`);
  }
  await folder.finish(record, [{ name: 'index.html', content: 'x'.repeat(50_000) }]);
  process.stdout.write(`sealed ${record.id}\n`);
}
