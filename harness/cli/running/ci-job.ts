import { appendFileSync, statSync } from 'node:fs';
import type { RunRecord } from '../../record/run-record.ts';
import { renderMarkdown } from '../../report/text/markdown.ts';
import type { Io } from '../common/io.ts';

/** The summaries of one step of a job may have so many bytes together; beyond, all of them are dropped. */
const longestSummary = 1024 * 1024;

/** Appends the run to the job's summary, where the job has one. That it cannot be written never spoils the run. */
export function addJobSummary(record: RunRecord, io: Io): void {
  const file = io.env['GITHUB_STEP_SUMMARY'];
  if (!file) return;
  const markdown = `${renderMarkdown(record)}\n`;
  try {
    const before = statSync(file, { throwIfNoEntry: false })?.size ?? 0;
    if (before + Buffer.byteLength(markdown) > longestSummary) {
      io.stderr('the job summary is full: this run is only in its stored folder\n');
      return;
    }
    appendFileSync(file, markdown);
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? 'unknown error';
    io.stderr(
      `the job summary ${file} cannot be written (${code}); the run is stored all the same\n`,
    );
  }
}
