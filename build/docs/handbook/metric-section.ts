import { metricList } from '../../../harness/cli/measuring/measure-text.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import type { Outcome } from '../../../harness/measure/outcome.ts';
import type { CoverageRow } from './coverage-rows.ts';
import { type Described, labels } from './docstrings.ts';

/** All that is known of one metric before it is put into words. */
export interface Entry {
  readonly metric: Metric;
  readonly described: Described;
  /** Of the scene that its coverage is told from. */
  readonly outcome: Outcome | null;
  readonly coverage: readonly CoverageRow[];
}

/** The metric's part of the page of its family, as Markdown. */
export function metricSection(entry: Entry): string {
  const { metric, described } = entry;
  const lines = labels.flatMap((label) => {
    const text = described.parts.get(label);
    const key = label === 'Source' ? ` ([${metric.source}](${sourceLink(metric)}))` : '';
    return text === undefined ? [] : [`- **${label}:** ${text}${key}`];
  });
  return [
    `## ${metric.id}`,
    `**${metric.title}**`,
    described.about,
    picture(entry),
    [...lines, `- **Uncertainty:** ${uncertainty(entry)}`, repeated(metric)].join('\n'),
    `\`\`\`\n${metricList([metric], false).trim()}\n\`\`\``,
  ]
    .filter((part) => part !== '')
    .join('\n\n');
}

function sourceLink({ source }: Metric): string {
  return `../../harness/measure/SOURCES.md#${source.replace(/[^\w-]/g, '')}`;
}

/** What several measurements of one condition come to. */
function repeated({ averages }: Metric): string {
  const what = averages ? 'their mean is judged' : 'the worst of them counts';
  return `- **[Measured again](../repeating.md):** ${what}.`;
}

/** The first picture that a finding of this metric has. */
export function chartOf({ outcome }: Entry) {
  return outcome?.measured ? outcome.evidence.charts[0] : undefined;
}

function picture(entry: Entry): string {
  const chart = chartOf(entry);
  if (!chart) return '';
  return `![${chart.title}: a simulated record and what the metric reads from it](pictures/${entry.metric.id}.svg)`;
}

const inputs = {
  scale: 'scale',
  offset: 'zero',
  'time-base': 'time base',
  noise: 'noise',
  quantisation: 'rounding',
} as const;

function uncertainty({ metric, outcome, coverage }: Entry): string {
  const blind = metric.blindTo ?? [];
  const names = Object.entries(inputs);
  const felt = names
    .filter(([input]) => !blind.some((one) => one === input))
    .map(([, name]) => name);
  const own = outcome?.measured ? [...new Set(outcome.contributions.map(({ name }) => name))] : [];
  return [
    `of the input's calibration, ${listed(felt)} count${felt.length === 1 ? 's' : ''}.`,
    own.length > 0 ? `The metric adds: ${own.join('; ')}.` : '',
    held(coverage),
  ]
    .filter((part) => part !== '')
    .join(' ');
}

function held(coverage: readonly CoverageRow[]): string {
  const link = '[the table](../../harness/verdict/COVERAGE.md)';
  if (coverage.length === 0)
    return `How often value ± U holds the truth was not simulated (${link}).`;
  const least = Math.min(...coverage.map((row) => row.least));
  const most = Math.max(...coverage.map((row) => row.most));
  const range = least === most ? `${least} %` : `${least} % to ${most} %`;
  return `In simulated measurements value ± U held the truth in ${range} of the cases, over all disturbances that were tried (${link}).`;
}

function listed(words: readonly string[]): string {
  const last = words.at(-1) ?? 'nothing';
  return words.length > 1 ? `${words.slice(0, -1).join(', ')} and ${last}` : last;
}
