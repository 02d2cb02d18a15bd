import { createHash } from 'node:crypto';
import { join, resolve } from 'node:path';
import { deflateRawSync } from 'node:zlib';
import { type Command, Option } from 'commander';
import { ArchiveError } from '../../archive/archive-error.ts';
import { readCapture } from '../../archive/capture-file.ts';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { manifestFile } from '../../archive/manifest.ts';
import { readPlainFile } from '../../archive/plain-file.ts';
import { readRun } from '../../archive/read-run.ts';
import { recordText } from '../../archive/record-file.ts';
import { isSigned } from '../../archive/signoff-files.ts';
import { verifyAgainstLedger } from '../../archive/verify-against-ledger.ts';
import { plainLine } from '../../files/plain-text.ts';
import { isStored, leftAwayText } from '../../record/kept-captures.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { renderCodeQuality } from '../../report/exchange/code-quality.ts';
import { renderJunit } from '../../report/exchange/junit.ts';
import { renderRunMetrics } from '../../report/exchange/run-metrics.ts';
import type { Signature } from '../../report/pages/release/authorisation.ts';
import { renderReleaseReport } from '../../report/pages/release/release-report.ts';
import { renderPage } from '../../report/pages/run/run-page.ts';
import { captureTrace, type Trace } from '../../report/pages/run/trace.ts';
import { renderAnnotations } from '../../report/text/annotations.ts';
import { renderMarkdown } from '../../report/text/markdown.ts';
import { renderSummary } from '../../report/text/summary.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { rejudge } from '../../workflow/rejudging/rejudge.ts';
import { loadPublicKey } from '../../workflow/signing/read-keys.ts';
import { readPolicy } from '../../workflow/signing/read-policy.ts';
import { type CheckedRun, readCheckedRun } from '../common/checked-run.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodeOfRun } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { writeOut } from '../common/write-out.ts';
import { pageAndJunit, printStoredIn } from '../running/stored-run.ts';
import { printPdf } from './pdf.ts';

interface Asked {
  readonly run: CheckedRun;
  readonly io: Io;
  readonly options: ReportOptions;
}

interface ReportOptions {
  readonly format: keyof typeof formats;
  readonly out?: string;
  readonly reports: string;
  readonly public: readonly string[];
  readonly policy?: string;
  readonly rejudge?: boolean;
  readonly specs?: readonly string[];
  readonly lamp?: string;
  readonly rig?: string;
}

/** One line a format: how a stored run becomes its text or its bytes. */
const formats = {
  summary: async ({ run, io }) =>
    renderSummary(run.record, { colour: io.colour, columns: io.columns }, run.warning),
  html: async ({ run, io }) =>
    renderPage({
      record: run.record,
      traces: await readTraces(run, io),
      warning: run.warning,
      deflate: deflateRawSync,
    }),
  junit: async ({ run }) => renderJunit(run.record, 'strict', run.warning),
  'junit-extended': async ({ run }) => renderJunit(run.record, 'extended', run.warning),
  markdown: async ({ run }) => renderMarkdown(run.record, run.warning),
  annotations: async ({ run }) => renderAnnotations(run.record, run.warning),
  'code-quality': async ({ run }) => renderCodeQuality(run.record, run.warning),
  openmetrics: async ({ run }) => renderRunMetrics(run.record),
  json: async ({ run }) => recordText(run.record),
  pdf: releasePdf,
} satisfies Readonly<Record<string, (asked: Asked) => Promise<string | Uint8Array>>>;

/** Formats that show charts. */
const withCurves: ReadonlySet<ReportOptions['format']> = new Set(['html', 'json', 'pdf']);

export function register(command: Command, io: Io): void {
  command
    .argument('<run>', 'a folder, an id, or latest')
    .addOption(
      new Option('--format <format>', 'output format')
        .choices(Object.keys(formats))
        .default('summary'),
    )
    .option(
      '--out <path>',
      'write to this file instead of standard output; with --rejudge: the archive for the new run',
    )
    .addOption(
      new Option(
        '--public <key...>',
        'public keys to trust: the PDF shows their sign-offs',
      ).default([], 'none'),
    )
    .option('--policy <file>', 'trust the keys of this policy: the PDF says what it decides')
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--rejudge', 'judge the run again, from its captures, against the current specs')
    .option(
      '--specs <path...>',
      'with --rejudge: where to find the specs (default: where they were)',
    )
    .option('--lamp <file>', 'with --rejudge: the lamp file of the run, if it has moved')
    .option('--rig <file>', 'with --rejudge: the rig file of the run, if it has moved')
    .action(async (name: string, options: ReportOptions) => {
      if (options.rejudge) io.exitCode = await withArchive(() => judgeAgain(name, options, io));
      else {
        refuseFiles(options);
        await withArchive(() => report(name, options, io));
      }
    });
}

/** The exit code is the one that the run would have had. */
async function judgeAgain(name: string, options: ReportOptions, io: Io): Promise<number> {
  const { record, folder } = await rejudge(name, options, {
    cwd: io.cwd,
    signal: io.interrupted,
    reports: pageAndJunit(),
  });
  io.stdout(renderSummary(record, { colour: io.colour, columns: io.columns }));
  printStoredIn(folder, io);
  return exitCodeOfRun(record, io);
}

/** A report renders what was stored: files beside it would change nothing. */
function refuseFiles({ specs, lamp, rig }: ReportOptions): void {
  const given = { '--specs': specs, '--lamp': lamp, '--rig': rig };
  const [first] = Object.entries(given).find(([, value]) => value !== undefined) ?? [];
  if (first === undefined) return;
  throw new Complaint('usage', `${first} is for --rejudge: add --rejudge, or leave it out`);
}

async function report(name: string, options: ReportOptions, io: Io): Promise<void> {
  const { format } = options;
  // Bytes do not belong on a terminal: a PDF goes to a file in any case.
  const out = options.out ?? (format === 'pdf' ? 'report.pdf' : undefined);
  const folder = await findRunFolder(resolve(io.cwd, options.reports), name);
  const draws = withCurves.has(format);
  const checked = await readCheckedRun(folder, io, { curves: draws });
  // Words alone need curves only where they say what failures have in common.
  const run =
    draws || checked.record.verdict === 'pass'
      ? checked
      : { ...checked, ...(await readRun(folder)) };
  for (const text of run.dropped) io.stderr(`left out: ${plainLine(text)}\n`);
  const content = await formats[format]({ run, io, options });
  if (out === undefined) io.stdout(content as string);
  else await write(out, content, io);
}

async function write(out: string, content: string | Uint8Array, io: Io): Promise<void> {
  await writeOut(resolve(io.cwd, out), content);
  io.stderr(`written: ${out}\n`);
}

/** Traces of all captures; one that cannot be read is named, and the page says that it has no picture of it. */
async function readTraces({ folder, record }: CheckedRun, io: Io): Promise<Trace[]> {
  const traces: Trace[] = [];
  const left = leftAwayText(record);
  if (left !== null) io.stderr(`without pictures of ${left}, which the run did not keep\n`);
  for (const capture of capturesOf(record).filter(isStored)) {
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

async function releasePdf({ run, io, options }: Asked): Promise<Uint8Array> {
  const { folder, record, sealed, warning } = run;
  const contentHash = sealed ? await hashOf(join(folder, manifestFile)) : null;
  const html = renderReleaseReport({
    record,
    contentHash,
    issuedAt: new Date().toISOString(),
    warning,
    ...(await signaturesOf(folder, options)),
  });
  const hash = contentHash ? `manifest sha256 ${contentHash}` : 'not sealed';
  return printPdf(html, `run ${record.id}, ${hash}`, io.env);
}

/**
 * Only what was proved goes on paper: a sign-off whose key is not trusted here is counted, not shown, and a policy says what
 * the signatures together decide.
 */
async function signaturesOf(
  folder: string,
  { public: given, policy: policyFile }: Pick<ReportOptions, 'public' | 'policy'>,
) {
  const read = policyFile === undefined ? null : await readPolicy(policyFile);
  const keys = [...(await Promise.all(given.map(loadPublicKey))), ...(read?.keys ?? [])];
  const { problems, signoffs, decision, unmet } = await verifyAgainstLedger(folder, keys, {
    policy: read?.policy ?? null,
  });
  const signatures = signoffs.map(({ predicate }): Signature => {
    const { signer, signedAt, meaning, decision, waivers } = predicate;
    return { name: signer.name, key: signer.key, signedAt, meaning, decision, waivers };
  });
  const signed = await isSigned(folder);
  const broken = signed ? problems.map(({ file, text }) => `${file} ${text}`) : [];
  const doubts = read === null ? [...broken, ...unmet] : broken;
  return {
    signatures: doubts.length > 0 ? [] : signatures,
    doubts,
    policy: read && { name: read.policy.name, version: read.policy.version, decision, unmet },
  };
}

async function hashOf(file: string): Promise<string> {
  return createHash('sha256')
    .update(await readPlainFile(file))
    .digest('hex');
}
