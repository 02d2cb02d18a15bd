import { join } from 'node:path';
import { contradictionsOf } from '../record/contradictions.ts';
import { isStored } from '../record/kept-captures.ts';
import type { RunRecord } from '../record/run-record.ts';
import { clocksApart } from './clocks-apart.ts';
import type { Manifest } from './manifest.ts';
import { isPlainlySpelled, otherSpelling } from './own-spelling.ts';
import { readPlainFile } from './plain-file.ts';
import { recordFile } from './record-file.ts';

/**
 * What is wrong with a record before anybody signs for it, in sentences: another spelling than ours, what does not follow from its own
 * figures, a run that is not over yet, and captures that its findings rest on and that were not sealed with it. `now` is in ms since 1970.
 */
export async function recordProblems(
  folder: string,
  record: RunRecord,
  manifest: Manifest,
  now: number,
): Promise<readonly string[]> {
  const text = (await readPlainFile(join(folder, recordFile))).toString('utf8');
  return [
    ...(isPlainlySpelled(text) ? [] : [`it ${otherSpelling}`]),
    ...contradictionsOf(record),
    ...(Date.parse(record.endedAt ?? record.startedAt) > now + clocksApart
      ? [
          `it says that the run ended at ${record.endedAt}, later than it is now; is the clock right?`,
        ]
      : []),
    ...(manifest.run === record.id ? [] : [`the manifest is of another run (${manifest.run})`]),
    ...unsealedCaptures(record, manifest),
  ];
}

function unsealedCaptures({ specs }: RunRecord, { files }: Manifest): string[] {
  const sealed = new Set(files.map(({ file }) => file));
  return specs
    .flatMap(({ conditions }) => conditions.flatMap(({ captures }) => captures))
    .filter(isStored)
    .filter(({ file }) => !sealed.has(`captures/${file}`))
    .map(({ file }) => `its capture ${file} is not among the sealed files`);
}
