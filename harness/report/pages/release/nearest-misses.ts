import type { RunRecord } from '../../../record/run-record.ts';
import { type Content, html } from '../../html/html.ts';
import { toleranceRuler } from '../../pictures/tolerance-ruler.ts';
import { findingsWorstFirst, margin } from '../../words/worst-first.ts';
import { findingWords } from '../run/claim-line.ts';
import { pictureOf } from '../run/worst-picture.ts';
import { reportFigure } from './report-figure.ts';

/** As many as a reader looks at. */
const shown = 3;

/** The claims that hold by the least, each with its closest finding and its picture: what the next build is likely to break. */
export function nearestMisses(record: RunRecord): Content {
  const closest = record.specs
    .filter(({ verdict }) => verdict === 'pass')
    .flatMap((spec) => {
      const placed = findingsWorstFirst(spec).find(
        ({ finding }) => finding.evidence.charts.length > 0,
      );
      return placed ? [{ spec, placed }] : [];
    })
    .filter(({ placed }) => Number.isFinite(margin(placed.finding)))
    .sort((a, b) => margin(a.placed.finding) - margin(b.placed.finding))
    .slice(0, shown);
  if (closest.length === 0)
    return html`<p>None: no claim that holds has a figure with a picture.</p>`;
  return closest.map(({ spec, placed }, k) => {
    const chart = pictureOf(placed);
    return html`
      <article class="exception">
        <h3>${spec.claim}</h3>
        <div class="exception-line"><p>${findingWords(placed)}.</p>${toleranceRuler(placed.finding)}</div>
        ${chart && reportFigure(chart, `nearest-${k}`)}
      </article>`;
  });
}
