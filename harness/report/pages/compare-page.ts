import { plainLine } from '../../files/plain-text.ts';
import {
  type Change,
  type ComparedFinding,
  changes,
  latestLine,
} from '../../record/compare-runs.ts';
import { type FindingLine, findingKey, findingLines } from '../../record/finding-line.ts';
import { shortId } from '../../record/ids.ts';
import type { Finding, RunRecord } from '../../record/run-record.ts';
import { type Html, html } from '../html/html.ts';
import { chartPicture } from '../pictures/chart-picture.ts';
import type { EvidenceChart } from '../pictures/drawn-chart.ts';
import { findingCharts } from '../pictures/finding-charts.ts';
import { sharedRange, toleranceRuler } from '../pictures/tolerance-ruler.ts';
import { findingPlace, isQuiet, sideText } from '../words/compare-words.ts';
import { capital, counted, dateText, rigText } from '../words/prose.ts';
import { verdictMark } from '../words/verdict-words.ts';
import { renderSheet } from './archive/sheet.ts';

/** Findings with curves; beyond these the page only lists. */
const shownPictures = 120;

interface ComparePageOptions {
  readonly served?: boolean;
  /** What a reader has to know before any figure of a run, such as that its files were altered. */
  readonly warnings?: { readonly a?: string | null; readonly b?: string | null };
}

/**
 * Two runs as one HTML file without any script: what changed, the worst first, each finding with both rulers and the
 * curves of both runs in one picture (band previews side by side). Nothing is loaded from anywhere. `served` pages lead
 * on to the others of `evenfall view`, and get their policy from the server.
 */
export function renderComparePage(
  a: RunRecord,
  b: RunRecord,
  compared: readonly ComparedFinding[],
  { served = false, warnings = {} }: ComparePageOptions = {},
): string {
  const title = `${a.lamp.name}: build ${a.lamp.build} against build ${b.lamp.build}`;
  const body = [
    runLine('A', a, warnings.a ?? null),
    runLine('B', b, warnings.b ?? null),
    overview(compared),
    sections(compared, findingsByKey(a), findingsByKey(b)),
  ];
  return renderSheet({ title, body, ...(served ? { place: null } : {}) });
}

type FindingsByKey = ReadonlyMap<string, Finding>;

function findingsByKey(record: RunRecord): FindingsByKey {
  const findings = record.specs.flatMap(({ conditions }) => conditions.flatMap((c) => c.findings));
  const lines = findingLines(record);
  return new Map(
    findings.flatMap((finding, k) => {
      const line = lines[k];
      return line ? [[findingKey(line), finding]] : [];
    }),
  );
}

function sections(
  compared: readonly ComparedFinding[],
  findingsOfA: FindingsByKey,
  findingsOfB: FindingsByKey,
): Html[] {
  let pictures = 0;
  return groups(compared).map(([change, group]) => {
    const articles = group.map((finding, index) => {
      const isDrawn = change !== 'unchanged' && pictures++ < shownPictures;
      const pair = {
        a: isDrawn ? findingOf(finding.a, findingsOfA) : null,
        b: isDrawn ? findingOf(finding.b, findingsOfB) : null,
      };
      return comparedArticle(finding, pair, `${slugOf(change)}-${index}`);
    });
    // What stayed as it was would bury what did not.
    const content = isQuiet(change)
      ? html`<details><summary>Show ${group.length}</summary>${articles}</details>`
      : articles;
    const heading = `${capital(change)}: ${group.length}`;
    return html`<section id="${slugOf(change)}"><h2>${heading}</h2>${content}</section>`;
  });
}

/** Findings by what became of them, the worst first. */
function groups(compared: readonly ComparedFinding[]): [Change, ComparedFinding[]][] {
  return changes
    .map((change): [Change, ComparedFinding[]] => [
      change,
      compared.filter((finding) => finding.change === change),
    ])
    .filter(([, group]) => group.length > 0);
}

/** How many findings went each way, and in how many claims, as links to them. */
function overview(compared: readonly ComparedFinding[]): Html {
  const items = groups(compared).map(([change, group]) => {
    const claims = new Set(group.map((finding) => latestLine(finding).spec));
    const words = `${capital(change)}: ${counted(group.length, 'finding')} of ${counted(claims.size, 'claim')}`;
    return html`<li><a href="#${slugOf(change)}">${words}</a></li>`;
  });
  return html`<ul class="changes" aria-label="What changed">${items}</ul>`;
}

function runLine(letter: string, record: RunRecord, warning: string | null): Html {
  const { id, startedAt, lamp, rig, verdict } = record;
  const words = `run ${shortId(id)}, ${dateText(startedAt)}, build ${lamp.build}, rig ${rigText(rig)}: ${verdictMark[verdict]} ${verdict}`;
  const warned =
    warning !== null && html`<p class="warned" role="alert">▲ ${capital(warning)}.</p>`;
  return html`<p class="where"><strong>${letter} </strong>${plainLine(words)}</p>${warned}`;
}

interface Pair {
  readonly a: Finding | null;
  readonly b: Finding | null;
}

function comparedArticle(compared: ComparedFinding, { a, b }: Pair, id: string): Html {
  // Side by side, a value must stand where the same value stands beside it.
  const range = sharedRange([a, b].filter((one) => one !== null));
  const figures = bothCharts(a, b).map((chart, index) => {
    // Drawn small, so that its words can still be read on a phone.
    const { markup } = chartPicture(chart, { width: 500, height: 240, id: `${id}-${index}` });
    return html`<figure><figcaption>${plainLine(chart.title)}</figcaption>${markup}</figure>`;
  });
  return html`
    <article class="compared">
      <h3>${plainLine(findingPlace(latestLine(compared)))}</h3>
      <div>${oneSide('A', compared.a, a, range)}${oneSide('B', compared.b, b, range)}</div>
      ${figures.length > 0 && html`<div class="curves">${figures}</div>`}
    </article>`;
}

function oneSide(
  letter: string,
  line: FindingLine | null,
  finding: Finding | null,
  range: ReturnType<typeof sharedRange>,
): Html {
  return html`
    <div class="side">
      <p><strong>${letter} </strong>${sideText(line)}</p>
      ${finding && toleranceRuler(finding, range)}
    </div>`;
}

/** Pictures whose rows would lie on each other. */
const apart: ReadonlySet<EvidenceChart['kind']> = new Set(['bands', 'arrivals']);

/** Charts that both runs have share one picture; bands and arrivals stand one after the other. */
function bothCharts(a: Finding | null, b: Finding | null): EvidenceChart[] {
  const chartsOfB = b ? findingCharts(b) : [];
  const chartsOfA = a ? findingCharts(a) : [];
  if (chartsOfB.length === 0) return chartsOfA.map((chart) => named(chart, 'A'));
  return chartsOfB.flatMap((chart, index) => {
    const partner = chartsOfA[index];
    if (partner?.kind !== chart.kind) return [named(chart, 'B')];
    if (apart.has(chart.kind)) return [named(partner, 'A'), named(chart, 'B')];
    return [overlaid(partner, chart)];
  });
}

function named(chart: EvidenceChart, letter: string): EvidenceChart {
  return { ...chart, title: `${letter}: ${chart.title}` };
}

/** What was aimed at comes from B; measured lines of both, named. */
function overlaid(a: EvidenceChart, b: EvidenceChart): EvidenceChart {
  const measured = (chart: EvidenceChart, letter: string): EvidenceChart['lines'] =>
    chart.lines
      .filter(({ role }) => role === 'measured')
      .map((line) => ({ ...line, name: `${letter} ${line.name}` }));
  const aims = b.lines.filter(({ role }) => role !== 'measured');
  return { ...b, lines: [...aims, ...measured(a, 'A'), ...measured(b, 'B')] };
}

function findingOf(line: FindingLine | null, findings: FindingsByKey): Finding | null {
  return line ? (findings.get(findingKey(line)) ?? null) : null;
}

function slugOf(change: Change): string {
  return change.replaceAll(' ', '-');
}
