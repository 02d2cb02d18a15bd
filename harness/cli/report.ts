import { createHash } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { ArchiveError } from '../archive/archive-error.ts';
import { readCapture } from '../archive/capture-file.ts';
import { manifestFile } from '../archive/manifest.ts';
import { readRun, type StoredRun } from '../archive/read-run.ts';
import { recordText } from '../archive/record-file.ts';
import type { RunRecord } from '../record/run-record.ts';
import { renderAnnotations } from '../report/annotations.ts';
import { renderJunit } from '../report/junit.ts';
import { renderMarkdown } from '../report/markdown.ts';
import { renderPage } from '../report/page.ts';
import { renderReleaseReport } from '../report/release-report.ts';
import { renderSummary } from '../report/summary.ts';
import type { Trace } from '../report/trace.ts';
import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';
import { findRunFolder } from './find-run-folder.ts';
import type { Io } from './io.ts';
import { printPdf } from './pdf.ts';
import { captureTrace } from './run-store.ts';

interface Asked {
  readonly run: StoredRun;
  readonly io: Io;
}

/** One line a format: how a stored run becomes its text or its bytes. */
const formats: Readonly<Record<string, (asked: Asked) => Promise<string | Uint8Array>>> = {
  summary: async ({ run, io }) =>
    renderSummary(run.record, { colour: io.colour, columns: io.columns }),
  html: async ({ run, io }) =>
    renderPage({ record: run.record, traces: await readTraces(run, io) }),
  junit: async ({ run }) => renderJunit(run.record, 'strict'),
  'junit-extended': async ({ run }) => renderJunit(run.record, 'extended'),
  markdown: async ({ run }) => renderMarkdown(run.record),
  annotations: async ({ run }) => renderAnnotations(run.record),
  json: async ({ run }) => recordText(run.record),
  pdf: async ({ run, io }) => releasePdf(run, io),
};

export function register(command: Command, io: Io): void {
  command
    .argument('<run>', "a run's folder, the start of its name or id, or `latest`")
    .addOption(
      new Option('--format <format>', 'what to make of it')
        .choices(Object.keys(formats))
        .default('summary'),
    )
    .option('--out <file>', 'write to this file instead of to standard output')
    .option('--archive <folder>', 'folder of stored runs', 'reports')
    .action(async (name: string, options: ReportOptions) => {
      await report(name, options, io);
    });
}

interface ReportOptions {
  readonly format: string;
  readonly out?: string;
  readonly archive: string;
}

async function report(name: string, options: ReportOptions, io: Io): Promise<void> {
  const { format, archive } = options;
  // Bytes do not belong on a terminal: a PDF goes to a file in any case.
  const out = options.out ?? (format === 'pdf' ? 'report.pdf' : undefined);
  try {
    const run = await readRun(await findRunFolder(name, archive, io.cwd));
    for (const text of run.dropped) io.stderr(`left out: ${text}\n`);
    const content = await formats[format]!({ run, io });
    if (out === undefined) io.stdout(content as string);
    else await write(out, content, io);
  } catch (error) {
    throw error instanceof ArchiveError ? archiveComplaint(error) : error;
  }
}

async function write(out: string, content: string | Uint8Array, io: Io): Promise<void> {
  try {
    await writeFile(resolve(io.cwd, out), content);
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? 'unknown error';
    const text = `expected to write ${out}, but the file system refuses (${code}); choose another place with --out`;
    throw new Complaint(exitCodes.cannotCreate, text, { cause: error });
  }
  io.stderr(`written: ${out}\n`);
}

/** Traces of all captures; one that cannot be read is named, and the page says that it has no picture of it. */
async function readTraces({ folder, record }: StoredRun, io: Io): Promise<Trace[]> {
  const traces: Trace[] = [];
  for (const capture of capturesOf(record)) {
    try {
      const { codes } = await readCapture(folder, capture.file);
      traces.push(captureTrace(capture, codes));
    } catch (error) {
      if (!(error instanceof ArchiveError)) throw error;
      io.stderr(`without the capture ${capture.file}: ${error.message}\n`);
    }
  }
  return traces;
}

function capturesOf({ specs }: RunRecord) {
  return specs.flatMap(({ conditions }) => conditions.flatMap(({ captures }) => captures));
}

async function releasePdf({ folder, record, sealed }: StoredRun, io: Io): Promise<Uint8Array> {
  const contentHash = sealed ? await hashOf(join(folder, manifestFile)) : null;
  const issuedAt = new Date().toISOString();
  const html = renderReleaseReport({ record, contentHash, issuedAt, signatures: [] });
  const hash = contentHash ? `manifest sha256 ${contentHash}` : 'not sealed';
  return printPdf(html, `run ${record.id}, ${hash}`, io.env);
}

async function hashOf(file: string): Promise<string> {
  return createHash('sha256')
    .update(await readFile(file))
    .digest('hex');
}

function archiveComplaint(error: ArchiveError): Complaint {
  const codes: Partial<Record<ArchiveError['kind'], number>> = {
    damaged: exitCodes.badFile,
    newer: exitCodes.badFile,
    'bad-record': exitCodes.badFile,
  };
  return new Complaint(codes[error.kind] ?? exitCodes.noInput, error.message, { cause: error });
}
