import type { Chart } from '../../measure/evidence.ts';
import { explainNotMeasurable } from '../../measure/explain.ts';
import { pageStyle } from '../../report/html/assets.js';
import { renderDocument } from '../../report/html/document.ts';
import { element, type Markup } from '../../report/html/markup.ts';
import { chartPicture } from '../../report/pictures/chart-picture.ts';
import type { DrawnChart } from '../../report/pictures/drawn-chart.ts';
import { plainLine } from '../../report/words/plain-text.ts';
import type { Measurement } from './measure.ts';
import { measuredText } from './measure-text.ts';

/** What the page says of the file itself. */
export interface MeasuredFile {
  readonly name: string;
  /** E.g. `CSV, 2 columns, 20000 samples at 10 kHz`. */
  readonly about: string;
}

/**
 * The measurements of one file as one page without any script: a table, and under it the pictures that the figures came
 * from (waveform, spectrum against its limit, camera bands), each once. Nothing is loaded from anywhere.
 */
export function renderMeasurePage(
  { name, about }: MeasuredFile,
  measurements: readonly Measurement[],
): string {
  const title = plainLine(`Measured: ${name}`);
  const body = element(
    'div',
    { class: 'sheet' },
    element('div', {}, element('h1', {}, title), element('p', {}, plainLine(about))),
    element(
      'div',
      { role: 'main' },
      outcomeTable(measurements),
      pictures(measurements),
      refusals(measurements),
    ),
    element(
      'section',
      {},
      element(
        'p',
        {},
        'Figures are pre-compliance: they never certify. ± is the expanded uncertainty of what was stated about the file; without a calibration it holds the record’s own scatter only.',
      ),
    ),
  );
  return renderDocument({ title, styles: [pageStyle], body });
}

function outcomeTable(measurements: readonly Measurement[]): Markup {
  const rows = measurements.flatMap(({ metric, of, assessed }) =>
    'expanded' in assessed
      ? [[`${metric.title}, ${of}`, measuredText(metric, assessed), metric.source]]
      : [],
  );
  return section('Measured', ['quantity', 'value', 'source'], rows);
}

function refusals(measurements: readonly Measurement[]): Markup | null {
  const rows = measurements.flatMap(({ metric, of, assessed }) =>
    'expanded' in assessed
      ? []
      : [[`${metric.title}, ${of}`, explainNotMeasurable(assessed.outcome)]],
  );
  return rows.length === 0 ? null : section('Not measurable', ['quantity', 'why'], rows);
}

function section(
  title: string,
  head: readonly string[],
  rows: readonly (readonly string[])[],
): Markup {
  return element(
    'section',
    { class: 'table' },
    element('h2', {}, title),
    element(
      'table',
      {},
      element(
        'thead',
        {},
        element(
          'tr',
          {},
          head.map((word) => element('th', { scope: 'col' }, word)),
        ),
      ),
      element(
        'tbody',
        {},
        rows.map((cells) =>
          element(
            'tr',
            {},
            cells.map((cell) => element('td', {}, plainLine(cell))),
          ),
        ),
      ),
    ),
  );
}

/** Several metrics draw the same waveform or spectrum: it stands on the page once, under the names of all of them. */
function pictures(measurements: readonly Measurement[]): Markup[] {
  const drawn = new Map<string, { readonly chart: Chart; readonly titles: string[] }>();
  for (const { metric, of, assessed } of measurements) {
    if (!('expanded' in assessed)) continue;
    for (const chart of assessed.outcome.evidence.charts) {
      const key = `${of} ${JSON.stringify(chart)}`;
      const earlier = drawn.get(key);
      const title = `${metric.title} (${of})`;
      if (earlier) earlier.titles.push(title);
      else drawn.set(key, { chart, titles: [title] });
    }
  }
  return [...drawn.values()].map(({ chart, titles }, index) =>
    element(
      'figure',
      { class: `figure ${chart.kind}` },
      element('h5', {}, plainLine(chart.title)),
      chartPicture(toDraw(chart), { width: 860, height: 280, id: `picture-${index}` }).markup,
      element('figcaption', {}, plainLine(titles.join('; ')), lineNames(chart)),
    ),
  );
}

/** Digits of a drawn figure. Finer differences are rounding, which no axis could be divided by. */
const drawnDigits = 6;

function toDraw(chart: Chart): DrawnChart {
  return {
    ...chart,
    marks: [...chart.marks],
    lines: chart.lines.map((line) => ({
      ...line,
      y: line.y.map((value) => Number(value.toPrecision(drawnDigits))),
    })),
  };
}

function lineNames({ lines }: Chart): Markup | null {
  const names = new Set(
    lines.map(({ name, role }) =>
      role === 'measured' || role === name ? name : `${name} (${role})`,
    ),
  );
  return names.size < 2 ? null : element('p', {}, plainLine([...names].join(', ')));
}
