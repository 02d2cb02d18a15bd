import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Metric } from '../../../harness/measure/metric.ts';
import { metrics } from '../../../harness/measure/metrics.ts';
import { coverageRows } from './coverage-rows.ts';
import { describedMetrics } from './docstrings.ts';
import { chartOf, type Entry, metricSection } from './metric-section.ts';
import { simulatedOutcome, standalonePicture } from './simulated-picture.ts';

const families: Readonly<Record<Metric['family'], string>> = {
  level: 'Level',
  fade: 'Fade',
  colour: 'Colour',
  flicker: 'Flicker',
  camera: 'Camera',
  current: 'LED current',
  mains: 'Mains and supply',
  control: 'Control',
};

/** The files of `docs/metrics` by their names: a page a family, the list of all metrics, and the pictures. */
export async function handbook(root: string): Promise<ReadonlyMap<string, string>> {
  const entries = await entriesOf(root);
  const files = new Map<string, string>([['README.md', listOf(entries)]]);
  for (const [family, title] of Object.entries(families)) {
    const own = entries.filter(({ metric }) => metric.family === family);
    files.set(
      `${family}.md`,
      [`# ${title}: metrics`, made, ...own.map(metricSection), ''].join('\n\n'),
    );
  }
  for (const entry of entries) {
    const chart = chartOf(entry);
    if (chart) files.set(`pictures/${entry.metric.id}.svg`, standalonePicture(chart));
  }
  return new Map([...files].map(([name, text]) => [name, `${text.trimEnd()}\n`]));
}

const made =
  'Made by `npm run handbook` from what stands beside each metric in `harness/measure/metrics`.';

async function entriesOf(root: string): Promise<readonly Entry[]> {
  const folder = join(root, 'harness/measure/metrics');
  const sources = readdirSync(folder, { recursive: true, encoding: 'utf8' });
  const described = await describedMetrics(
    folder,
    sources.filter((name) => name.endsWith('.ts')),
  );
  const coverage = coverageRows(readFileSync(join(root, 'harness/verdict/COVERAGE.md'), 'utf8'));
  return metrics.map((metric) => {
    const own = described.get(metric.id);
    if (!own) throw new Error(`expected a file that exports the metric ${metric.id}, found none`);
    return {
      metric,
      described: own,
      outcome: simulatedOutcome(metric),
      coverage: coverage.get(metric.id) ?? [],
    };
  });
}

function listOf(entries: readonly Entry[]): string {
  const tables = Object.entries(families).map(([family, title]) => {
    const rows = entries
      .filter(({ metric }) => metric.family === family)
      .map(({ metric: { id, title: says, shown, dimension } }) => {
        const unit = shown === '1' ? dimension : shown;
        return `| [${id}](${family}.md#${id}) | ${says} | ${unit} |`;
      });
    return `## ${title}\n\n| metric | what it tells | unit |\n|---|---|---|\n${rows.join('\n')}`;
  });
  return ['# Handbook of metrics', made, introduction, ...tables].join('\n\n');
}

const introduction = `Each metric has what it computes, what it reads and what comes out, when it refuses a figure, what fools it, how its
uncertainty comes about, and what it rests on. Pictures are those of reports, of simulated records: the dashed line is what was commanded,
the others what was measured. \`evenfall measure --list\` prints the boxes. Figures are pre-compliance: they never certify.`;
