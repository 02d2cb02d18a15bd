import type { Change, ComparedFinding } from '../record/compare-runs.ts';
import { changes } from '../record/compare-runs.ts';
import { type FindingLine, findingKey, findingLines } from '../record/finding-line.ts';
import { shortId } from '../record/run-id.ts';
import type { Finding, RunRecord } from '../record/run-record.ts';
import { placeOf, sideText } from './compare-text.ts';
import { pageStyle, pageStyleHash } from './page/assets.ts';
import { chartPicture } from './page/chart-picture.ts';
import { element, escapeHtml, type Markup, toHtml } from './page/markup.ts';
import { toleranceRuler } from './page/tolerance-ruler.ts';
import { plainLine } from './plain-text.ts';
import { verdictMark } from './verdict-mark.ts';

type Chart = Finding['evidence']['charts'][number];

/** Findings with curves; beyond these the page only lists. */
const shownPictures = 120;

/**
 * Two runs as one HTML file without any script: what changed, the worst first, each finding with both rulers and the
 * curves of both runs in one picture (band previews side by side). Nothing is loaded from anywhere.
 */
export function renderComparePage(
  a: RunRecord,
  b: RunRecord,
  compared: readonly ComparedFinding[],
): string {
  const title = `${a.lamp.name}: build ${a.lamp.build} against build ${b.lamp.build}`;
  const policy = `default-src 'none'; style-src 'sha256-${pageStyleHash}'; img-src data:; base-uri 'none'; form-action 'none'`;
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    '<link rel="icon" href="data:,">',
    `<title>${escapeHtml(plainLine(title))}</title>`,
    `<style>${pageStyle}</style>`,
    '</head>',
    '<body>',
    toHtml(element('div', { class: 'sheet' }, ...pageBody(title, a, b, compared))),
    '</body>',
    '</html>',
    '',
  ].join('\n');
}

function pageBody(
  title: string,
  a: RunRecord,
  b: RunRecord,
  compared: readonly ComparedFinding[],
): Markup[] {
  const findingsOfA = findingsByKey(a);
  const findingsOfB = findingsByKey(b);
  let pictures = 0;
  const sections = changes.flatMap((change) => {
    const group = compared.filter((finding) => finding.change === change);
    if (group.length === 0) return [];
    const articles = group.map((finding, index) => {
      const withPicture = change !== 'unchanged' && pictures < shownPictures;
      if (withPicture) pictures++;
      const pair = withPicture
        ? [findingOf(finding.a, findingsOfA), findingOf(finding.b, findingsOfB)]
        : [];
      return comparedArticle(
        finding,
        pair[0] ?? null,
        pair[1] ?? null,
        `${slugOf(change)}-${index}`,
      );
    });
    return [element('section', {}, element('h2', {}, `${change}: ${group.length}`), ...articles)];
  });
  return [
    element('header', {}, element('h1', {}, plainLine(title)), runLine('A', a), runLine('B', b)),
    element('main', {}, ...sections),
  ];
}

function runLine(letter: string, record: RunRecord): Markup {
  const { id, startedAt, lamp, rig, verdict } = record;
  const bench = rig.simulated ? `${rig.name} (simulated)` : rig.name;
  return element(
    'p',
    {},
    element('strong', {}, `${letter} `),
    plainLine(
      `run ${shortId(id)}, ${startedAt}, build ${lamp.build}, on ${bench}: ${verdictMark[verdict]} ${verdict}`,
    ),
  );
}

function comparedArticle(
  compared: ComparedFinding,
  a: Finding | null,
  b: Finding | null,
  id: string,
): Markup {
  const line = (compared.b ?? compared.a)!;
  return element(
    'article',
    {},
    element('h3', {}, plainLine(placeOf(line))),
    element(
      'p',
      {},
      element('strong', {}, 'A '),
      sideText(compared.a),
      ' ',
      a && toleranceRuler(a),
    ),
    element(
      'p',
      {},
      element('strong', {}, 'B '),
      sideText(compared.b),
      ' ',
      b && toleranceRuler(b),
    ),
    ...bothCharts(a, b).map((chart, index) =>
      element(
        'figure',
        {},
        element('figcaption', {}, plainLine(chart.title)),
        chartPicture(chart, { width: 720, height: 240, id: `${id}-${index}` }).markup,
      ),
    ),
  );
}

/** Pictures whose rows would lie on each other. */
const apart: ReadonlySet<Chart['kind']> = new Set(['bands', 'arrivals']);

/** Charts that both runs have share one picture; bands and arrivals stand one after the other. */
function bothCharts(a: Finding | null, b: Finding | null): Chart[] {
  const chartsOfB = b?.evidence.charts ?? [];
  const chartsOfA = a?.evidence.charts ?? [];
  if (chartsOfB.length === 0) return chartsOfA.map((chart) => named(chart, 'A'));
  return chartsOfB.flatMap((chart, index) => {
    const partner = chartsOfA[index];
    if (partner?.kind !== chart.kind) return [named(chart, 'B')];
    if (apart.has(chart.kind)) return [named(partner, 'A'), named(chart, 'B')];
    return [overlaid(partner, chart)];
  });
}

function named(chart: Chart, letter: string): Chart {
  return { ...chart, title: `${letter}: ${chart.title}` };
}

/** What was aimed at comes from B; measured lines of both, named. */
function overlaid(a: Chart, b: Chart): Chart {
  const measured = (chart: Chart, letter: string): Chart['lines'] =>
    chart.lines
      .filter(({ role }) => role === 'measured')
      .map((line) => ({ ...line, name: `${letter} ${line.name}` }));
  const aims = b.lines.filter(({ role }) => role !== 'measured');
  return { ...b, lines: [...aims, ...measured(a, 'A'), ...measured(b, 'B')] };
}

function findingsByKey(record: RunRecord): Map<string, Finding> {
  const lines = findingLines(record);
  const findings = record.specs.flatMap(({ conditions }) => conditions.flatMap((c) => c.findings));
  return new Map(lines.map((line, index) => [findingKey(line), findings[index]!]));
}

function findingOf(line: FindingLine | null, findings: Map<string, Finding>): Finding | null {
  return line ? (findings.get(findingKey(line)) ?? null) : null;
}

function slugOf(change: Change): string {
  return change.replaceAll(' ', '-');
}
