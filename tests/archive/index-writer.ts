import { addRun } from '../../harness/archive/add-run.ts';
import { openIndex } from '../../harness/archive/open-index.ts';
import {
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';

/**
 * Run as a process of its own: `node index-writer.mjs FILE WHO COUNT` adds COUNT runs to an index, and says so after each;
 * WHO tells writers of one index apart.
 */
const [file = '', who = '', count = ''] = process.argv.slice(2);
const conditions = Array.from({ length: 20 }, (_, k) =>
  sampleCondition({ key: `point=${k}`, findings: [sampleFinding()] }),
);
const specs = [sampleSpec('fade-on-time', conditions)];
const index = openIndex(file);
for (let number = 0; number < Number(count); number++) {
  const id = `${who}${String(number).padStart(6, '0')}77de4a5c0b1d`;
  const startedAt = new Date(Date.UTC(2026, 2, 5) + number * 1000).toISOString();
  const place = { folder: id, sealed: true, journalBytes: null, decision: null };
  addRun(index, sampleRecord({ id, startedAt, specs }), place);
  process.stdout.write(`${id}\n`);
}
index.close();
