import { join } from 'node:path';
import type { Handler } from 'hono';
import { type ConfirmedRun, confirmRuns } from '../../archive/confirm-runs.ts';
import { countRuns, findRuns } from '../../archive/find-runs.ts';
import type { RunIndex } from '../../archive/open-index.ts';
import { type ListedRun, runList } from '../../report/pages/archive/run-list.ts';
import { withIndex } from '../../workflow/stored-runs/with-index.ts';
import { digests, runState } from './archived-run.ts';
import type { Desk } from './desk.ts';
import type { Served } from './guard.ts';
import { sendSheet } from './send.ts';

const perPage = 40;

/** The list of runs: filtered by what the address asks for. */
export function showRuns(desk: Desk): Handler<Served> {
  return async (c) => {
    const asked = {
      lamp: c.req.query('lamp')?.trim() ?? '',
      build: c.req.query('build')?.trim() ?? '',
      verdict: c.req.query('verdict')?.trim() ?? '',
      text: c.req.query('text')?.trim() ?? '',
    };
    const { root } = desk;
    const page = positiveWhole(c.req.query('page')) ?? 1;
    const found = await withIndex(root, {}, async (index) => {
      const filter = Object.fromEntries(Object.entries(asked).filter(([, text]) => text !== ''));
      const shown = { ...filter, limit: perPage, skip: (page - 1) * perPage };
      return {
        rows: await confirmRuns(index, root, findRuns(index, shown), digests.sha256File),
        fitting: countRuns(index, filter),
        all: countRuns(index),
        lamps: lampsOf(index),
      };
    });
    const { rows, fitting, all, lamps } = found;
    const runs = await Promise.all(rows.map((row) => listed(root, row)));
    const pages = Math.max(1, Math.ceil(fitting / perPage));
    const body = runList({ runs, fitting, all, asked, page, pages, lamps });
    return sendSheet(c, { title: 'Stored runs', place: 'Runs', body });
  };
}

async function listed(root: string, row: ConfirmedRun): Promise<ListedRun> {
  if (row.seal.state === 'altered') return { ...row, state: 'altered' };
  return { ...row, state: row.sealed ? 'sealed' : await runState(join(root, row.folder)) };
}

function lampsOf(index: RunIndex): string[] {
  return index.prepare('SELECT DISTINCT lamp FROM run ORDER BY lamp').pluck().all() as string[];
}

/** From 1; undefined for anything else. */
export function positiveWhole(text: string | undefined): number | undefined {
  return text !== undefined && /^[1-9]\d{0,5}$/.test(text) ? Number(text) : undefined;
}
