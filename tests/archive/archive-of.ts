import { createRunFolder } from '../../harness/archive/run-folder.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { headerOf } from '../record/sample-record.ts';

/** Stores finished records without captures under one root; their folders in order. */
export async function archiveOf(root: string, records: readonly RunRecord[]): Promise<string[]> {
  const paths: string[] = [];
  for (const record of records) {
    const folder = await createRunFolder(root, headerOf(record));
    for (const { spec, conditions } of record.specs) {
      for (const condition of conditions) await folder.saveCondition(spec, condition);
    }
    await folder.finish(record, []);
    paths.push(folder.path);
  }
  return paths;
}
