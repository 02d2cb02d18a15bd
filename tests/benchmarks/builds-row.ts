import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { addRuns } from '../../harness/archive/add-run.ts';
import { findBuilds } from '../../harness/archive/find-builds.ts';
import { findFlaky } from '../../harness/archive/find-flaky.ts';
import { openIndex } from '../../harness/archive/open-index.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { sampleRecord, sampleSpec } from '../record/sample-record.ts';
import { type Row, timed } from './row.ts';

const allRuns = 100_000;
const claims = 50;
const runsOfBuild = 20;
const lamps = ['Alcove-6', 'Alcove-6 Mains', 'Alcove-4', 'Alcove-2'];
const batch = 1000;
/** A run every five minutes, for a year. */
const apart = 300_000;

/** What the page of builds asks of the index of an archive that is never cleared away; a new connection each time, as the page has. */
export async function buildsRow(runs: number): Promise<Row> {
  const folder = mkdtempSync(join(tmpdir(), 'evenfall-bench-'));
  const file = join(folder, 'index.sqlite');
  try {
    fill(file);
    const figures: number[] = [];
    for (let run = 0; run < runs; run++) figures.push(await timed(() => ask(file)));
    return {
      name: 'builds by lamps, from an index of 100,000 runs of 50 claims',
      unit: 's',
      figures,
      yardstick: 'a fifth of a second',
      beside: [0.2],
      kind: 'cost',
      goal: 1,
    };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function ask(file: string): void {
  const index = openIndex(file);
  findBuilds(index, { builds: 20, depth: 100 });
  findFlaky(index, { last: 200 });
  index.close();
}

function fill(file: string): void {
  const index = openIndex(file);
  for (let from = 0; from < allRuns; from += batch) {
    const runs = Array.from({ length: batch }, (_, k) => runOf(from + k));
    addRuns(index, runs);
  }
  index.close();
}

function runOf(number: number) {
  const startedAt = new Date(Date.UTC(2026, 0, 1) + number * apart).toISOString();
  const specs = Array.from({ length: claims }, (_, claim) =>
    sampleSpec(`a-claim-of-the-library-${claim}`, [], { verdict: verdictOf(claim, number) }),
  );
  const sample = sampleRecord({ specs, startedAt, id: `${number}`.padStart(20, '0') });
  const name = lamps[number % lamps.length] ?? '';
  const lamp = { ...sample.lamp, name, build: `build ${Math.floor(number / runsOfBuild)}` };
  const place = { folder: `f${number}`, sealed: true, journalBytes: null, decision: null };
  return { record: { ...sample, lamp } satisfies RunRecord, place };
}

/** Ten claims broke, one after another; five never held, three come out both ways. */
function verdictOf(claim: number, run: number): 'pass' | 'fail' {
  if (claim < 10) return run > allRuns * (0.99 - claim * 0.09) ? 'fail' : 'pass';
  if (claim < 15) return 'fail';
  return claim < 18 && (run * 7919) % 5 === 0 ? 'fail' : 'pass';
}
