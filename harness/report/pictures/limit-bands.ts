import { lightness, relativeOfLightness } from '../../measure/colorimetry/lightness.ts';
import type { Finding } from '../../record/run-record.ts';
import type { EvidenceChart } from './drawn-chart.ts';

type Line = EvidenceChart['lines'][number];
type Points = Pick<Line, 'x' | 'y'>;
/** A commanded line as far off as a limit allows it to be. */
type Moved = (line: Points, limit: number, finding: Finding) => Points;

const shifted: Moved = ({ x, y }, limit) => ({ x: x.map((at) => at + limit), y });

const scaled: Moved = ({ x, y }, limit) => ({ x, y: y.map((level) => level * (1 + limit)) });

/** By a factor, either way: what is off as much in the logarithm. */
const factored: Moved = ({ x, y }, limit) => {
  const factor = 1 + Math.abs(limit);
  return { x, y: y.map((level) => (limit < 0 ? level / factor : level * factor)) };
};

const lighter: Moved = ({ x, y }, limit) => ({
  x,
  y: y.map((level) => relativeOfLightness(lightness(level) + limit)),
});

/** A fade that takes as long as the limit: it turns where it begins, and what follows comes later. */
const stretched: Moved = ({ x, y }, limit, { evidence }) => {
  const [chart] = evidence.charts;
  const [start, end] = (chart?.marks ?? []).map(({ at }) => at);
  if (start === undefined || end === undefined) return { x, y };
  const longer = limit / (end - start);
  return {
    x: x.map((at) =>
      at <= start ? at : at >= end ? at + limit - (end - start) : start + (at - start) * longer,
    ),
    y,
  };
};

/** How the limits of a metric lie about the commanded line of its picture. */
const moves: Readonly<Record<string, Moved>> = {
  'fade-duration': stretched,
  'fade-start-delay': shifted,
  'arrival-spread': shifted,
  'start-spread': shifted,
  'fade-synchrony': shifted,
  'settling-time': shifted,
  'curve-deviation': scaled,
  'level-error': scaled,
  'level-error-lightness': lighter,
  'sweep-deviation': factored,
  'sweep-deviation-lightness': lighter,
};

/** The chart with the tolerance of its finding as a band about what was commanded. */
export function withLimitBand(chart: EvidenceChart, finding: Finding): EvidenceChart {
  if (chart.kind === 'arrivals') return withSpread(chart, finding);
  const move = moves[finding.metric];
  const line = chart.lines.find(({ role }) => role === 'commanded');
  const { lower, upper, text } = finding.limits;
  if (!move || !line || upper === null) return chart;
  const name = `allowed: ${text}`;
  // A limit on one side leaves as much on the other: neither picture nor lamp should be ahead of its command.
  const [most, least] = [move(line, upper, finding), move(line, lower ?? -upper, finding)];
  const band = [most, least].map(
    (points): Line => ({ ...line, ...points, name, role: 'corridor' }),
  );
  return { ...chart, lines: [...band, ...chart.lines] };
}

/** Which end of a channel's way a spread is about. */
const ends: Readonly<Record<string, (line: Points) => number | undefined>> = {
  'arrival-spread': ({ x }) => x.at(-1),
  'start-spread': ({ x }) => x[0],
};

/** How long after the first channel the last one may come, as a band over the rows of all. */
function withSpread(chart: EvidenceChart, { metric, limits }: Finding): EvidenceChart {
  const end = ends[metric];
  const { upper, text } = limits;
  if (!end || upper === null) return chart;
  const first = Math.min(...chart.lines.flatMap((line) => end(line) ?? []));
  const rows = chart.lines.flatMap(({ y }) => y);
  const x = [first, first + upper];
  const band = [Math.max(...rows) + 0.5, Math.min(...rows) - 0.5].map(
    (row): Line => ({ name: `allowed: ${text}`, role: 'corridor', x, y: [row, row] }),
  );
  return { ...chart, lines: [...band, ...chart.lines] };
}
