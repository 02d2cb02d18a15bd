import { basename, join } from 'node:path';
import type { Context, Handler } from 'hono';
import { ArchiveError } from '../../archive/archive-error.ts';
import { readManifest } from '../../archive/manifest.ts';
import { readRecordHead } from '../../archive/record-file.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { refusal } from '../../report/pages/archive/refusal.ts';
import { runSheet, whereText } from '../../report/pages/archive/run-sheet.ts';
import { sealSection } from '../../report/pages/archive/seal.ts';
import { withIndex } from '../../workflow/stored-runs/with-index.ts';
import { archivedRun, checkSeal, runState } from './archived-run.ts';
import type { Desk } from './desk.ts';
import type { Served } from './guard.ts';
import { showLive } from './live.ts';
import { sealedRecord } from './record-cache.ts';
import { sendSheet } from './send.ts';

/** One run: finished with its seal, or in progress with its progress. */
export function showRun(desk: Desk): Handler<Served> {
  return async (c) => {
    const folder = await archivedRun(desk.root, c.req.param('run') ?? '');
    const state = await runState(folder);
    return state === 'sealed' ? showSealed(desk, c, folder) : showLive(c, folder, state);
  };
}

async function showSealed(desk: Desk, c: Context, folder: string): Promise<Response> {
  const seal = await checkSeal(desk, folder);
  try {
    const record = await sealedRecord(folder);
    const manifest = await readManifest(folder);
    const name = basename(folder);
    const before = await runBefore(desk, record);
    const body = runSheet({ folder: name, record, seal, files: manifest?.files ?? [], before });
    const title = `${record.lamp.name}, build ${record.lamp.build}`;
    return sendSheet(c, { title, where: whereText(record), place: null, body });
  } catch (error) {
    if (!(error instanceof ArchiveError)) throw error;
    // What was altered is worth knowing above all where the record itself is.
    const body = [refusal(error.message), sealSection(seal)];
    return sendSheet(c, { title: 'Unreadable run', place: null, body }, 409);
  }
}

/** The newest complete run of the lamp before this one. */
async function runBefore({ root }: Desk, { startedAt, lamp, id }: RunRecord) {
  const folder = await withIndex(root, {}, (index) =>
    index
      .prepare(
        `SELECT folder FROM run WHERE lamp = @lamp AND started <= @startedAt AND id <> @id AND sealed
         ORDER BY run DESC LIMIT 1`,
      )
      .pluck()
      .get({ lamp: lamp.name, startedAt, id }),
  );
  if (typeof folder !== 'string') return null;
  const before = await readRecordHead(join(root, folder)).catch(() => null);
  return before && { folder, build: before.lamp.build, started: before.startedAt };
}
