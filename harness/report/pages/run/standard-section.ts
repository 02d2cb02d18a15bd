import type { RunRecord } from '../../../record/run-record.ts';
import type { JudgedTrend } from '../../../record/trend.ts';
import { type Html, html } from '../../html/html.ts';
import { trendPicture } from '../../pictures/trend-picture.ts';

type Standard = NonNullable<RunRecord['rig']['standard']>;

/** The control chart of the check standard before the first claim; null where the rig has none. */
export function standardSection({ rig: { standard } }: RunRecord): Html | null {
  return standard ? standardChartSection(standard, 'Check standard') : null;
}

/** A control chart with the heading that says of what; null where it has no point. */
export function standardChartSection(standard: Standard, heading: string): Html | null {
  const last = standard.points.at(-1);
  if (!last) return null;
  const { limits, unit, points } = standard;
  const words = limits
    ? `${points.length} measurements of ${standard.standard}; the band is mean ± 3 s of the first ${limits.baseline} (ISO 7870-2, wider for a short history). This run's is the last${last.rule ? `: ${last.rule}` : ''}.`
    : `${points.length} measurements of ${standard.standard}, in ${unit}; too few for limits.`;
  const trend = trendOf(standard);
  return html`<section><h2>${heading}</h2><p>${words}</p>${trendPicture(trend, 960)}${trendPicture(trend, 360)}</section>`;
}

/** A chart of runs is drawn as any trend is. */
function trendOf({ standard, signal, of, unit, limits, points }: Standard): JudgedTrend {
  const own = points.map(({ at, value, standard: uncertainty, rule }) => ({
    id: at,
    folder: '',
    started: at,
    build: '',
    value,
    expanded: 2 * uncertainty,
    lower: null,
    upper: null,
    verdict: rule === null ? ('pass' as const) : ('fail' as const),
  }));
  const series = {
    ...{ metric: 'check-standard', title: standard, lamp: '', spec: '', condition: '', repeat: 0 },
    ...{ of, during: null, ordinal: 0, unit, shown: unit, points: own, signal },
  };
  const chart = limits && {
    centre: limits.centre,
    lower: limits.centre - limits.action,
    upper: limits.centre + limits.action,
    baseline: limits.baseline,
    signals: [],
  };
  return { series, chart, measured: own, drift: null, drifting: false, runsToLimit: null };
}
