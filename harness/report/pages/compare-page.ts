import { plainLine } from '../../files/plain-text.ts';
import {
  type Change,
  type ComparedFinding,
  changes,
  largestFirst,
  latestLine,
} from '../../record/compare-runs.ts';
import { type FindingLine, findingKey, findingLines } from '../../record/finding-line.ts';
import type { Finding, RunRecord } from '../../record/run-record.ts';
import { type Html, html } from '../html/html.ts';
import { chartPicture } from '../pictures/chart-picture.ts';
import type { EvidenceChart } from '../pictures/drawn-chart.ts';
import { findingCharts } from '../pictures/finding-charts.ts';
import { legend } from '../pictures/legend.ts';
import { pairRuler } from '../pictures/pair-ruler.ts';
import {
  comparedRun,
  differenceText,
  findingPlace,
  isQuiet,
  movementText,
  orderWords,
  runLegend,
  sideNames,
  sideText,
} from '../words/compare-words.ts';
import { capital, counted, rigText } from '../words/prose.ts';
import { renderSheet } from './archive/sheet.ts';

/** Findings with curves; beyond these the page only lists. */
const shownPictures = 120;
/** Findings of a group that lie open; the rest of it is folded. */
const openFindings = 10;

interface ComparePageOptions {
  readonly served?: boolean;
  /** What a reader has to know before any figure of a run, such as that its files were altered. */
  readonly warnings?: { readonly a?: string | null; readonly b?: string | null };
}

/**
 * Two runs as one HTML file without any script: what changed, the worst first, in each group the largest movement first; each finding
 * with both values on one ruler and the curves of both runs in one picture (band previews side by side). Nothing is loaded from anywhere. `served` pages lead
 * on to the others of `evenfall view`, and get their policy from the server.
 */
export function renderComparePage(
  a: RunRecord,
  b: RunRecord,
  compared: readonly ComparedFinding[],
  { served = false, warnings = {} }: ComparePageOptions = {},
): string {
  const [before, after] = [comparedRun(a), comparedRun(b)];
  const title =
    before.lamp === after.lamp
      ? `${before.lamp}: build ${before.build} against build ${after.build}`
      : `${before.lamp}, build ${before.build}, against ${after.lamp}, build ${after.build}`;
  const body = [
    legendLine('A', a, warnings.a ?? null),
    legendLine('B', b, warnings.b ?? null),
    overview(compared),
    html`<p class="aside">${orderWords}</p>`,
    sections(compared, {
      a: findingsByKey(a),
      b: findingsByKey(b),
      names: sideNames(before, after),
    }),
  ];
  return renderSheet({ title, body, ...(served ? { place: null } : {}) });
}

/** Where the findings of both runs are found again, and how a row names the runs. */
interface Sides {
  readonly a: FindingsByKey;
  readonly b: FindingsByKey;
  readonly names: ReturnType<typeof sideNames>;
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

function sections(compared: readonly ComparedFinding[], sides: Sides): Html[] {
  let pictures = 0;
  return groups(compared).map(([change, group]) => {
    const articles = group.map((finding, index) => {
      // Curves of one run alone compare nothing.
      const isPair = finding.a !== null && finding.b !== null;
      const isDrawn = change !== 'unchanged' && isPair && pictures++ < shownPictures;
      const pair = {
        a: findingOf(finding.a, sides.a),
        b: findingOf(finding.b, sides.b),
        curves: isDrawn,
      };
      return comparedArticle(finding, pair, sides.names, `${slugOf(change)}-${index}`);
    });
    // What stayed as it was would bury what did not, and small movements the large ones.
    const open = isQuiet(change) ? 0 : openFindings;
    const rest = group.length - open;
    const words = open === 0 ? counted(group.length, 'finding') : counted(rest, 'more finding');
    const content = [
      articles.slice(0, open),
      rest > 0 && html`<details><summary>Show ${words}</summary>${articles.slice(open)}</details>`,
    ];
    const heading = `${capital(change)}: ${group.length}`;
    return html`<section id="${slugOf(change)}"><h2>${heading}</h2>${content}</section>`;
  });
}

/** Findings by what became of them, the worst first. */
function groups(compared: readonly ComparedFinding[]): [Change, ComparedFinding[]][] {
  return changes
    .map((change): [Change, ComparedFinding[]] => [
      change,
      largestFirst(compared.filter((finding) => finding.change === change)),
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

/** Which run a letter stands for. */
function legendLine(letter: string, record: RunRecord, warning: string | null): Html {
  const words = `${runLegend(comparedRun(record))}; rig ${rigText(record.rig)}`;
  const warned =
    warning !== null && html`<p class="warned" role="alert">▲ ${capital(warning)}.</p>`;
  return html`<p class="where"><strong>${letter} </strong>${plainLine(words)}</p>${warned}`;
}

interface Pair {
  readonly a: Finding | null;
  readonly b: Finding | null;
  /** Whether their curves are drawn. */
  readonly curves: boolean;
}

function comparedArticle(
  compared: ComparedFinding,
  { a, b, curves }: Pair,
  names: Sides['names'],
  id: string,
): Html {
  const charts = curves ? bothCharts(a, b) : [];
  const figures = charts.map((chart, index) => {
    // Drawn small, so that its words can still be read on a phone.
    const { markup } = chartPicture(chart, { width: 440, height: 230, id: `${id}-${index}` });
    return html`<figure><figcaption>${plainLine(chart.title)}${legend(chart)}</figcaption>${markup}</figure>`;
  });
  return html`
    <article class="compared">
      <h3>${plainLine(findingPlace(latestLine(compared)))}</h3>
      <div class="side">${comparedFigures(compared, names)}${pairRuler(a, b, pairWords(compared, names))}</div>
      ${figures.length > 0 && html`<div class="curves">${figures}</div>`}
    </article>`;
}

/** How far it moved, what each run found, what was allowed. */
function comparedFigures(compared: ComparedFinding, names: Sides['names']): Html {
  const moved = movementText(compared);
  return html`
    ${moved !== null && html`<p class="moved"><b>${moved}</b></p>`}
    <p><strong>${names.a} </strong>${sideText(compared.a)}</p>
    <p><strong>${names.b} </strong>${sideText(compared.b)}</p>
    <p class="aside">${plainLine(differenceText(compared))}</p>`;
}

function pairWords(compared: ComparedFinding, names: Sides['names']): string {
  const { a, b } = compared;
  return plainLine(
    `${names.a} ${sideText(a)}, ${names.b} ${sideText(b)}, ${differenceText(compared)}`,
  );
}

/** Pictures whose rows would lie on each other. */
const apart: ReadonlySet<EvidenceChart['kind']> = new Set(['bands', 'arrivals', 'spectrogram']);

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
