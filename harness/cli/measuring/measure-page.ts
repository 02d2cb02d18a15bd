import { plainLine } from '../../files/plain-text.ts';
import type { Chart } from '../../measure/evidence.ts';
import { explainNotMeasurable } from '../../measure/explain.ts';
import { pageStyle } from '../../report/html/assets.js';
import { renderDocument } from '../../report/html/document.ts';
import { type Html, html } from '../../report/html/html.ts';
import { row, table } from '../../report/html/table.ts';
import { chartPicture } from '../../report/pictures/chart-picture.ts';
import type { Measurement } from './measure-metric.ts';
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
  const body = html`
    <div class="sheet">
      <div><h1>${title}</h1><p>${plainLine(about)}</p></div>
      <div role="main">
        ${outcomeTable(measurements)}
        ${pictures(measurements)}
        ${refusals(measurements)}
      </div>
      <section><p>${caution}</p></section>
    </div>`;
  return renderDocument({ title, styles: [pageStyle], body });
}

const caution =
  "Figures are pre-compliance: they never certify. ± is the expanded uncertainty from what was stated about the file; without a calibration it includes only the record's own scatter.";

function outcomeTable(measurements: readonly Measurement[]): Html {
  const rows = measurements.flatMap(({ metric, of, assessed }) =>
    'expanded' in assessed
      ? [[`${metric.title}, ${of}`, measuredText(metric, assessed), metric.source]]
      : [],
  );
  return section('Measured', ['quantity', 'value', 'source'], rows);
}

function refusals(measurements: readonly Measurement[]): Html | null {
  const rows = measurements.flatMap(({ metric, of, assessed }) =>
    'expanded' in assessed
      ? []
      : [[`${metric.title}, ${of}`, explainNotMeasurable(assessed.outcome)]],
  );
  return rows.length === 0 ? null : section('Not measurable', ['quantity', 'why'], rows);
}

function section(title: string, head: readonly string[], rows: readonly string[][]): Html {
  const lines = rows.map((cells) => row(cells.map(plainLine)));
  return html`<section class="table"><h2>${title}</h2>${table(head, lines)}</section>`;
}

/** Several metrics draw the same waveform or spectrum: it stands on the page once, under the names of all of them. */
function pictures(measurements: readonly Measurement[]): Html[] {
  const others = new Set(measurements.map(({ of }) => of)).size - 1;
  const drawn = new Map<string, { readonly chart: Chart; readonly titles: string[] }>();
  for (const { metric, of, assessed } of measurements) {
    if (!('expanded' in assessed)) continue;
    for (const chart of assessed.outcome.evidence.charts) {
      const isSpectrum = chart.kind === 'spectrum' && others > 0;
      const key = isSpectrum ? `${metric.id} ${chart.title}` : `${of} ${JSON.stringify(chart)}`;
      const known = drawn.get(key);
      const whole = isSpectrum ? overlaid(known?.chart, chart, of) : chart;
      drawn.set(key, {
        chart: whole,
        titles: [...(known?.titles ?? []), `${metric.title} (${of})`],
      });
    }
  }
  return [...drawn.values()].map(({ chart, titles }, index) => figure(chart, titles, index));
}

/** Spectra of several subjects in one picture, each line called by its subject; a limit that they share is drawn once. */
function overlaid(before: Chart | undefined, chart: Chart, of: string): Chart {
  const own = chart.lines.map((line) => (line.role === 'measured' ? { ...line, name: of } : line));
  const known = new Set(before?.lines.map((line) => JSON.stringify(line)));
  const lines = own.filter((line) => !known.has(JSON.stringify(line)));
  return { ...chart, lines: [...(before?.lines ?? []), ...lines] };
}

function figure(chart: Chart, titles: readonly string[], index: number): Html {
  const look = { width: 860, height: 280, id: `picture-${index}` };
  return html`
    <figure class="figure ${chart.kind}">
      <h5>${plainLine(chart.title)}</h5>
      ${chartPicture(chart, look).markup}
      <figcaption>${plainLine(titles.join('; '))}${lineNames(chart)}</figcaption>
    </figure>`;
}

function lineNames({ lines }: Chart): Html | null {
  const names = new Set(
    lines.map(({ name, role }) =>
      role === 'measured' || role === name ? name : `${name} (${role})`,
    ),
  );
  return names.size < 2 ? null : html`<p>${plainLine([...names].join(', '))}</p>`;
}
