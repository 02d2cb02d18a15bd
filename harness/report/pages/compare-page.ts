import type { Change, ComparedFinding } from '../../record/compare-runs.ts';
import { changes } from '../../record/compare-runs.ts';
import { type FindingLine, findingKey, findingLines } from '../../record/finding-line.ts';
import { shortId } from '../../record/run-id.ts';
import type { Finding, RunRecord } from '../../record/run-record.ts';
import { element, type Markup } from '../html/markup.ts';
import { chartPicture } from '../pictures/chart-picture.ts';
import { chartsWithSteps } from '../pictures/step-circles.ts';
import { toleranceRuler } from '../pictures/tolerance-ruler.ts';
import { placeOf, sideText } from '../text/compare-text.ts';
import { counted } from '../text/summary.ts';
import { plainLine } from '../words/plain-text.ts';
import { verdictMark } from '../words/verdict-words.ts';
import { benchText } from './archive/run-list.ts';
import { renderSheet } from './archive/sheet.ts';
import { capital, dateText } from './run/run-head.ts';

type Chart = Finding['evidence']['charts'][number];

/** Findings with curves; beyond these the page only lists. */
const shownPictures = 120;

/**
 * Two runs as one HTML file without any script: what changed, the worst first, each finding with both rulers and the
 * curves of both runs in one picture (band previews side by side). Nothing is loaded from anywhere. `served` pages lead
 * on to the others of `evenfall view`, and get their policy from the server.
 */
export function renderComparePage(
  a: RunRecord,
  b: RunRecord,
  compared: readonly ComparedFinding[],
  { served = false }: { readonly served?: boolean } = {},
): string {
  const title = `${a.lamp.name}: build ${a.lamp.build} against build ${b.lamp.build}`;
  const body = pageBody(a, b, compared);
  return renderSheet({ title, body, ...(served ? { place: null } : {}) });
}

function pageBody(a: RunRecord, b: RunRecord, compared: readonly ComparedFinding[]): Markup[] {
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
    const title = `${capital(change)}: ${group.length}`;
    return [
      element(
        'section',
        { id: slugOf(change) },
        element('h2', {}, title),
        // What stayed as it was would bury what did not.
        quiet.has(change)
          ? element('details', {}, element('summary', {}, `Show ${group.length}`), ...articles)
          : articles,
      ),
    ];
  });
  return [runLine('A', a), runLine('B', b), overview(compared), ...sections];
}

const quiet: ReadonlySet<Change> = new Set(['moved within uncertainty', 'unchanged']);

/** How many findings went each way, and in how many claims, as links to them. */
function overview(compared: readonly ComparedFinding[]): Markup {
  const items = changes.flatMap((change) => {
    const group = compared.filter((finding) => finding.change === change);
    if (group.length === 0) return [];
    const claims = new Set(group.map(({ a, b }) => (b ?? a)!.spec));
    const words = `${capital(change)}: ${counted(group.length, 'finding')} of ${counted(claims.size, 'claim')}`;
    return [element('li', {}, element('a', { href: `#${slugOf(change)}` }, words))];
  });
  return element('ul', { class: 'changes', 'aria-label': 'What changed' }, items);
}

function runLine(letter: string, record: RunRecord): Markup {
  const { id, startedAt, lamp, rig, verdict } = record;
  const bench = benchText(rig.name, rig.simulated);
  return element(
    'p',
    { class: 'where' },
    element('strong', {}, `${letter} `),
    plainLine(
      `run ${shortId(id)}, ${dateText(startedAt)}, build ${lamp.build}, rig ${bench}: ${verdictMark[verdict]} ${verdict}`,
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
  const charts = bothCharts(a, b);
  return element(
    'article',
    { class: 'compared' },
    element('h3', {}, plainLine(placeOf(line))),
    element('div', {}, oneSide('A', compared.a, a), oneSide('B', compared.b, b)),
    charts.length > 0 &&
      element(
        'div',
        { class: 'curves' },
        charts.map((chart, index) =>
          element(
            'figure',
            {},
            element('figcaption', {}, plainLine(chart.title)),
            // Drawn small, so that its words can still be read on a phone.
            chartPicture(chart, { width: 500, height: 240, id: `${id}-${index}` }).markup,
          ),
        ),
      ),
  );
}

function oneSide(letter: string, line: FindingLine | null, finding: Finding | null): Markup {
  return element(
    'div',
    { class: 'side' },
    element('p', {}, element('strong', {}, `${letter} `), sideText(line)),
    finding && toleranceRuler(finding),
  );
}

/** Pictures whose rows would lie on each other. */
const apart: ReadonlySet<Chart['kind']> = new Set(['bands', 'arrivals']);

/** Charts that both runs have share one picture; bands and arrivals stand one after the other. */
function bothCharts(a: Finding | null, b: Finding | null): Chart[] {
  const chartsOfB = b ? chartsWithSteps(b) : [];
  const chartsOfA = a ? chartsWithSteps(a) : [];
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
