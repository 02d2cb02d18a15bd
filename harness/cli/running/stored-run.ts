import { relative } from 'node:path';
import { deflateRawSync } from 'node:zlib';
import { renderJunit } from '../../report/exchange/junit.ts';
import { renderPage } from '../../report/pages/run/run-page.ts';
import { captureTrace, type Trace } from '../../report/pages/run/trace.ts';
import type { RunReports } from '../../workflow/running/run-store.ts';
import type { Io } from '../common/io.ts';

/** The reports of every stored run: `junit.xml`, and `index.html` with a picture of each capture. */
export function pageAndJunit(): RunReports {
  const traces: Trace[] = [];
  return {
    addCapture: (capture, codes) => void traces.push(captureTrace(capture, codes)),
    render: (record) => [
      { name: 'junit.xml', content: renderJunit(record, 'strict') },
      { name: 'index.html', content: renderPage({ record, traces, deflate: deflateRawSync }) },
    ],
  };
}

/** The last lines of a command that stored a run: its folder, and its page. */
export function printStoredIn(path: string, io: Io): void {
  const folder = folderName(path, io);
  io.stdout(`Stored in ${folder}\nPage      ${folder}/index.html\n`);
}

/** A run's folder as a command called from here takes it. */
export function folderName(path: string, io: Pick<Io, 'cwd'>): string {
  return relative(io.cwd, path) || path;
}
