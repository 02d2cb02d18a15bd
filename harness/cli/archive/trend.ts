import type { Command } from 'commander';
import { confirmTrend } from '../../archive/confirm-trend.ts';
import { findFlaky } from '../../archive/find-flaky.ts';
import { findTrend, knownMetrics, type TrendFilter } from '../../archive/find-trend.ts';
import type { RunIndex } from '../../archive/open-index.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { judgeTrend } from '../../record/trend.ts';
import { renderOpenMetrics } from '../../report/exchange/open-metrics.ts';
import { renderTrendCsv } from '../../report/exchange/trend-csv.ts';
import { renderTrendPage } from '../../report/pages/trend-page.ts';
import { renderFlakyText, renderTrendText } from '../../report/text/trend-text.ts';
import { sealWarning } from '../../report/words/seal-words.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { withReportedIndex } from '../common/archive-index.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { parseSince, wholeNumber } from '../common/options.ts';
import { writePage } from '../common/write-page.ts';

interface Options {
  readonly reports: string;
  readonly spec?: string;
  readonly of?: string;
  readonly lamp?: string;
  readonly since?: string;
  readonly last?: number;
  readonly top: number;
  readonly withFaults?: boolean;
  readonly flaky?: boolean;
  readonly csv?: boolean;
  readonly openmetrics?: boolean;
  readonly json?: boolean;
  readonly page?: string;
}

/** `evenfall trend [METRIC]`: metrics over the runs, the largest drift first; `--flaky`: claims that come out both ways. */
export function register(command: Command, io: Io): void {
  command
    .argument('[metric]', 'e.g. fade-duration (default: all of them, a line each)')
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--spec <id>', 'only in this claim')
    .option('--of <subject>', 'only of this channel, or light, or lamp')
    .option('--lamp <name>', 'only of this lamp')
    .option('--since <date>', 'a date, or an age such as "14 d"')
    .option(
      '--last <n>',
      'only the newest runs (default: 60, or 500 with --flaky)',
      wholeNumber(1, 999_999),
    )
    .option(
      '--top <n>',
      'how many series to tell in full, the largest drift first',
      wholeNumber(1, 999_999),
      10,
    )
    .option('--with-faults', 'include runs with seeded faults')
    .option('--flaky', 'list claims that both passed and failed on one build')
    .option('--csv', 'as CSV, figures in SI units')
    .option('--openmetrics', 'print the newest values as OpenMetrics text')
    .option('--json', 'as JSON')
    .option('--page <file>', 'also write a page with a picture a series')
    .action((metric: string | undefined, options: Options) =>
      withArchive(() => trend(metric, options, io)),
    );
}

async function trend(metric: string | undefined, options: Options, io: Io): Promise<void> {
  const since =
    options.since === undefined ? undefined : parseSince(options.since, new Date(), '--since');
  await withReportedIndex(options.reports, io, {}, async (index) => {
    if (options.flaky) {
      const { last = 500 } = options;
      flaky(index, { lamp: options.lamp, since, last }, options, io);
    }
    if (metric !== undefined || !options.flaky)
      await overRuns(index, filterOf(metric, since, options), options, io);
  });
}

function filterOf(
  metric: string | undefined,
  since: string | undefined,
  options: Options,
): TrendFilter {
  const { spec, of, lamp, withFaults, last = 60 } = options;
  return { metric, spec, of, lamp, since, withFaults, last };
}

function flaky(
  index: RunIndex,
  filter: Parameters<typeof findFlaky>[1],
  { json }: Options,
  io: Io,
): void {
  const claims = findFlaky(index, filter);
  io.stdout(
    json ? `${JSON.stringify({ version: 1, claims }, null, 2)}\n` : renderFlakyText(claims),
  );
}

async function overRuns(
  index: RunIndex,
  filter: TrendFilter,
  options: Options,
  io: Io,
): Promise<void> {
  const { series, altered } = await confirmTrend(options.reports, findTrend(index, filter));
  for (const [folder, seal] of altered) {
    io.stderr(`evenfall: left out: ${folder}: ${sealWarning(seal)}\n`);
    io.exitCode = exitCodes.refused;
  }
  if (series.length === 0) throw new Complaint('no-input', nothingFound(index, filter));
  if (options.page !== undefined)
    await writePage(options.page, renderTrendPage(series.map(judgeTrend)), io);
  if (options.csv) io.stdout(renderTrendCsv(series));
  else if (options.openmetrics) io.stdout(renderOpenMetrics(series));
  else if (options.json) {
    io.stdout(`${JSON.stringify({ version: 1, trends: series.map(judgeTrend) }, null, 2)}\n`);
  } else {
    const { colour, columns } = io;
    io.stdout(renderTrendText(series.map(judgeTrend), { colour, columns, top: options.top }));
  }
}

function nothingFound(index: RunIndex, { metric }: TrendFilter): string {
  const known = knownMetrics(index);
  if (known.length === 0) return 'the archive holds no findings yet; start with evenfall run specs';
  if (metric === undefined) return 'no stored finding fits; ask for less';
  if (known.includes(metric)) return `no stored finding of ${metric} fits; ask for less`;
  return `expected a metric with stored findings, found ${JSON.stringify(metric)}${didYouMean(metric, known)}; known: ${known.join(', ')}`;
}
