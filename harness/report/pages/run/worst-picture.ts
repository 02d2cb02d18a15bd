import type { Diagnosis } from '../../../diagnose/diagnose.ts';
import type { Explanation } from '../../../diagnose/explain.ts';
import type { RunRecord } from '../../../record/run-record.ts';
import { type Html, html } from '../../html/html.ts';
import { withOtherChannels } from '../../pictures/all-channels.ts';
import { chartPicture } from '../../pictures/chart-picture.ts';
import type { DrawnChart } from '../../pictures/drawn-chart.ts';
import { findingCharts } from '../../pictures/finding-charts.ts';
import { legend } from '../../pictures/legend.ts';
import {
  claimsWorstFirst,
  findingsWorstFirst,
  type Placed,
  worstFirst,
} from '../../words/worst-first.ts';
import { findingWords } from './claim-line.ts';

/**
 * The finding that is shown first: of what decided the run, the worst one that has a picture. Where failures have something in common,
 * one that shows it goes before one that only follows from it.
 */
function worstDrawn(record: RunRecord, diagnosis: Diagnosis | null): Placed | null {
  if (record.verdict === 'pass') return null;
  const [first] = diagnosis?.explanations ?? [];
  const shown = first && worstFirst(ownFindings(first)).find(isDrawn);
  if (shown) return shown;
  const claims = claimsWorstFirst(record).filter(({ verdict }) => verdict === record.verdict);
  const placed = claims.flatMap((spec) =>
    findingsWorstFirst(spec).filter(({ finding }) => finding.verdict === record.verdict),
  );
  return placed.find(isDrawn) ?? null;
}

function isDrawn({ finding }: Placed): boolean {
  return finding.evidence.charts.length > 0;
}

function ownFindings({ metrics, findings }: Explanation): readonly Placed[] {
  const own = new Set(metrics.map(({ metric }) => metric));
  return findings.filter(({ finding }) => own.has(finding.metric));
}

/**
 * The worst finding as the first thing to be seen, with the other channels that were told the same: whoever opens a failed run sees what
 * was commanded and what the light did before reading any list. Drawn for a screen and for a phone.
 */
export function worstPicture(record: RunRecord, diagnosis: Diagnosis | null): Html | null {
  const placed = worstDrawn(record, diagnosis);
  const chart = placed && pictureOf(placed);
  if (!placed || !chart) return null;
  const draw = (width: number, height: number, name: string): Html =>
    chartPicture(chart, { width, height, id: `worst-${name}` }).markup;
  return html`
    <figure class="worst-picture">
      <p>${findingWords(placed)}</p>
      <div class="broad">${draw(880, 260, 'broad')}</div>
      <div class="narrow">${draw(360, 230, 'narrow')}</div>
      <figcaption>${legend(chart)}</figcaption>
    </figure>`;
}

/** The first chart of a finding with the channels beside it. */
export function pictureOf({ condition, finding }: Placed): DrawnChart | null {
  const [chart] = findingCharts(finding);
  if (!chart) return null;
  const others = condition.findings
    .filter((other) => other !== finding && other.metric === finding.metric)
    .filter(({ during }) => during === finding.during);
  return withOtherChannels(
    chart,
    others.flatMap((other) => findingCharts(other).slice(0, 1)),
  );
}
