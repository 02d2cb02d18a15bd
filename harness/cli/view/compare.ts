import type { Handler } from 'hono';
import { HTTPException } from 'hono/http-exception';
import { checkSeal } from '../../archive/check-seal.ts';
import { readRun } from '../../archive/read-run.ts';
import { compareRuns } from '../../record/compare-runs.ts';
import { findingLines } from '../../record/finding-line.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { renderComparePage } from '../../report/pages/compare-page.ts';
import { sealWarning } from '../../report/words/seal-words.ts';
import { archivedRun, digests, runState } from './archived-run.ts';
import type { Desk } from './desk.ts';
import type { Served } from './guard.ts';
import { sealedRecord } from './record-cache.ts';
import { pagePolicy } from './send.ts';

/** Two runs side by side: the page that `evenfall compare A B --page` writes. */
export function showCompare(desk: Desk): Handler<Served> {
  return async (c) => {
    const [a, b] = [c.req.query('a') ?? '', c.req.query('b') ?? ''];
    if (a === '' || b === '' || a === b) {
      const message =
        'To compare, choose two different runs: an earlier one as A, a later one as B.';
      throw new HTTPException(422, { message });
    }
    const [before, after] = [await storedRecord(desk, a), await storedRecord(desk, b)];
    const compared = compareRuns(linesOf(before), linesOf(after));
    const warnings = { a: await warningOf(desk, a), b: await warningOf(desk, b) };
    c.header('Content-Security-Policy', pagePolicy);
    c.header('Cache-Control', 'no-store');
    return c.html(renderComparePage(before, after, compared, { served: true, warnings }));
  };
}

async function storedRecord({ root }: Desk, name: string): Promise<RunRecord> {
  const folder = await archivedRun(root, name);
  if ((await runState(folder)) === 'sealed') return sealedRecord(folder);
  return (await readRun(folder)).record;
}

async function warningOf({ root }: Desk, name: string): Promise<string | null> {
  const folder = await archivedRun(root, name);
  return sealWarning(await checkSeal(folder, digests.sha256File));
}

function linesOf(record: RunRecord) {
  const claims = record.specs.map(({ spec, verdict }) => ({ spec, verdict }));
  return { claims, findings: findingLines(record) };
}
