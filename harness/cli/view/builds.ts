import type { Handler } from 'hono';
import { confirmBuilds } from '../../archive/confirm-builds.ts';
import { findFlaky } from '../../archive/find-flaky.ts';
import { buildsPage } from '../../report/pages/lab/builds-page.ts';
import { withIndex } from '../../workflow/stored-runs/with-index.ts';
import { digests } from './archived-run.ts';
import type { Desk } from './desk.ts';
import type { Served } from './guard.ts';
import { slimRecord } from './record-cache.ts';
import { sendSheet } from './send.ts';

const shown = { builds: 20, depth: 100 } as const;
const runsForFlaky = 200;

/** Builds by lamps, and which build broke what does not hold now. */
export function showBuilds(desk: Desk): Handler<Served> {
  return async (c) => {
    const { root } = desk;
    const reading = { hash: digests.sha256File, record: slimRecord };
    const sheet = await withIndex(root, {}, async (index) => ({
      ...(await confirmBuilds(index, root, shown, reading)),
      flaky: findFlaky(index, { last: runsForFlaky }),
    }));
    return sendSheet(c, { title: 'Builds', place: 'Builds', body: buildsPage(sheet) });
  };
}
