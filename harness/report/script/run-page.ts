import { group } from 'd3-array';
import { filedCaptures } from '../../record/evidence-of.ts';
import type { CaptureRecord, ConditionRecord, SpecRecord } from '../../record/run-record.ts';
import { standsOpen } from '../../verdict/verdict.ts';
import { type Html, html } from '../html/html.ts';
import { unpacked } from '../html/packed.ts';
import {
  bareConditions,
  captureCaption,
  claimFacts,
  findingFacts,
  findingLine,
  findingReason,
  orderedFindings,
} from '../pages/run/finding-panel.ts';
import { evidenceKey, type PageEvidence, type PageRun } from '../pages/run/page-data.ts';
import { withOtherChannels } from '../pictures/all-channels.ts';
import type { DrawnChart } from '../pictures/drawn-chart.ts';
import { levelRows } from '../pictures/level-rows.ts';
import { levelStack } from '../pictures/level-stack.ts';
import type { Placed } from '../words/worst-first.ts';
import { chartFigure } from './chart-figure.ts';
import { claimFilter, type Wanted } from './claim-filter.ts';
import { part, toElement, toNodes } from './nodes.ts';
import {
  chartToDraw,
  probeToDraw,
  recordTitle,
  spanOfRecords,
  tracesToDraw,
} from './record-charts.ts';

/** Findings put under a claim at once; more come on asking. */
const findingsAtOnce = 60;

const { record } = readData<PageRun>('run');
let evidenceRead: PageEvidence | undefined;
// Unpacked when the first claim is opened: the charts are the bulk of the page.
const evidence = (): PageEvidence => (evidenceRead ??= readData<PageEvidence>('evidence'));

/** A claim of the record and its line on the page. */
interface Claim {
  readonly spec: SpecRecord;
  readonly index: number;
  readonly line: HTMLDetailsElement;
}

const lines = [...document.querySelectorAll<HTMLDetailsElement>('.claim')];
const claims = lines.flatMap((line): Claim[] => {
  const index = Number(line.dataset['claim']);
  const spec = record.specs[index];
  return spec ? [{ spec, index, line }] : [];
});
const filters = part<HTMLFormElement>(document, '.filters');

for (const claim of claims) claim.line.addEventListener('toggle', () => fillClaim(claim));
startFilters();
startKeys();
startPrinting();
openLinked();
window.addEventListener('hashchange', openLinked);

function readData<T>(id: string): T {
  return unpacked<T>(part(document, `#${id}`).textContent ?? '');
}

function fillClaim(claim: Claim): void {
  const { spec, line } = claim;
  const body = part(line, '.evidence');
  if (!line.open || body.hasChildNodes()) return;
  const list = toElement(html`<div class="findings"></div>`);
  body.append(toNodes([claimFacts(spec), bareConditions(spec), levelPicture(claim)]), list);
  addFindings(list, claim, wanted().channel);
  list.querySelector('.finding')?.setAttribute('open', '');
}

/** All levels of a claim at one glance, before its findings. */
function levelPicture(claim: Claim): Html | null {
  const chartOf = (placed: Placed): DrawnChart | null => {
    const [chart] = evidence().charts[keyOf(claim, placed)] ?? [];
    return chart ? chartToDraw(chart) : null;
  };
  const rows = levelRows(claim.spec, (placed) => chartOf(placed) !== null);
  // The frame of a figure stands on either side.
  const width = Math.max(300, Math.round(part(claim.line, '.evidence').clientWidth) - 30);
  return (
    rows &&
    levelStack(rows, ({ placed }) => chartOf(placed), { width, id: `levels-${claim.index}` })
  );
}

function addFindings(list: HTMLElement, claim: Claim, channel: string): void {
  const all = orderedFindings(claim.spec).filter(
    ({ finding }) => !channel || finding.of === channel || finding.of === 'lamp',
  );
  let shown = 0;
  const more = toElement(html`<button type="button" class="more"></button>`);
  const addSome = (): void => {
    more.remove();
    list.append(...all.slice(shown, shown + findingsAtOnce).map((one) => openingLine(claim, one)));
    shown = Math.min(all.length, shown + findingsAtOnce);
    const left = all.length - shown;
    more.textContent = `Show ${Math.min(findingsAtOnce, left)} of ${left} more findings`;
    if (left > 0) list.append(more);
  };
  more.addEventListener('click', addSome);
  addSome();
}

function openingLine(claim: Claim, placed: Placed): HTMLElement {
  const line = toElement(findingLine(placed, keyOf(claim, placed)));
  line.addEventListener('toggle', () => {
    if (line.hasAttribute('open')) fillFinding(line, placed);
  });
  return line;
}

function keyOf({ spec, index }: Claim, { condition, finding }: Placed): string {
  const c = spec.conditions.indexOf(condition);
  return evidenceKey(index, c, condition.findings.indexOf(finding));
}

function fillFinding(line: HTMLElement, placed: Placed): void {
  const proof = part(line, '.proof');
  if (proof.hasChildNodes()) return;
  const charts = evidence().charts[line.dataset['finding'] ?? ''] ?? [];
  proof.append(toNodes(findingReason(placed.finding)));
  const drawn = charts.map(chartToDraw);
  const [first, ...more] = drawn;
  if (first) proof.append(chartFigure(withOtherChannels(first, besides(placed, line))));
  for (const chart of more) proof.append(chartFigure(chart));
  proof.append(...recordFolds(placed, charts.length === 0), ...probePictures(placed));
  proof.append(toNodes(findingFacts(record, placed, drawn)));
}

/** First charts of the same question about the other channels. */
function besides({ condition, finding }: Placed, line: HTMLElement): DrawnChart[] {
  const own = line.dataset['finding'] ?? '';
  const place = own.slice(0, own.lastIndexOf('.'));
  return condition.findings.flatMap((other, k) => {
    const isAlike = other.metric === finding.metric && other.during === finding.during;
    const [chart] = (isAlike && other !== finding && evidence().charts[`${place}.${k}`]) || [];
    return chart ? [chartToDraw(chart)] : [];
  });
}

/** The records that the finding rests on, one picture a signal; the first is drawn where no chart tells the story. */
function recordFolds({ condition, finding }: Placed, drawFirst: boolean): HTMLElement[] {
  const captures = filedCaptures(condition, finding);
  const kinds = group(captures, ({ signal, unit }) => `${signal} ${unit}`);
  return [...kinds.values()].map((own, k) => recordFold(own, condition, drawFirst && k === 0));
}

/** Variables of the firmware, under the records that the finding rests on. */
function probePictures({ condition, finding }: Placed): Node[] {
  const span = spanOfRecords(filedCaptures(condition, finding), condition);
  return (condition.probes ?? []).map((probe) => {
    const drawn = probeToDraw(probe, condition, span);
    return typeof drawn === 'string' ? toNodes(html`<p>${drawn}</p>`) : chartFigure(drawn);
  });
}

function recordFold(
  captures: readonly CaptureRecord[],
  condition: ConditionRecord,
  isOpen: boolean,
): HTMLElement {
  const title = recordTitle(captures);
  const fold = toElement(html`
    <details class="capture"${isOpen && ' open'}><summary>Record: ${title}</summary></details>`);
  const fill = (): void => {
    if (!fold.querySelector('figure, p')) fold.append(recordPicture(captures, condition));
  };
  fold.addEventListener('toggle', () => fold.hasAttribute('open') && fill());
  if (isOpen) fill();
  return fold;
}

function recordPicture(captures: readonly CaptureRecord[], condition: ConditionRecord): Node {
  const captions = captures.map(captureCaption);
  const taken = captures.flatMap((capture) => {
    const trace = evidence().traces[capture.file];
    return trace ? [{ capture, trace }] : [];
  });
  const chart = tracesToDraw(taken, condition);
  return chart
    ? chartFigure(chart, captions)
    : toNodes(html`<p>The samples are in the run's folder only. ${captions.join(' ')}</p>`);
}

function wanted(): Wanted {
  const data = new FormData(filters);
  const text = (name: string): string => String(data.get(name) ?? '');
  const pressed = filters.querySelectorAll('[data-verdict][aria-pressed="true"]');
  return {
    verdicts: new Set([...pressed].map((button) => button.getAttribute('data-verdict') ?? '')),
    words: text('search').toLowerCase().split(/\s+/).filter(Boolean),
    tag: text('tag'),
    requirement: text('requirement'),
    channel: text('channel'),
  };
}

function startFilters(): void {
  filters.hidden = false;
  const fits = claimFilter(record);
  let channel = '';
  const apply = (): void => {
    const want = wanted();
    for (const { spec, line } of claims) line.hidden = !fits(spec, want);
    if (want.channel !== channel) refill();
    channel = want.channel;
    tellShown();
  };
  filters.addEventListener('input', apply);
  filters.addEventListener('submit', (event) => event.preventDefault());
  filters.addEventListener('click', ({ target }) => {
    const button = target instanceof Element && target.closest('[data-verdict]');
    if (!button) return;
    button.setAttribute('aria-pressed', String(button.getAttribute('aria-pressed') !== 'true'));
    apply();
  });
}

/** Folders without a claim to show are hidden with it, and the number of claims shown is told. */
function tellShown(): void {
  for (const folder of document.querySelectorAll<HTMLElement>('.folder'))
    folder.hidden = folder.querySelector('.claim:not([hidden])') === null;
  const shown = claims.filter(({ line }) => !line.hidden).length;
  part(document, '.none').hidden = shown > 0;
  part(filters, '.shown').textContent =
    shown === claims.length ? '' : `${shown} of ${claims.length} claims shown`;
}

/** Findings under a claim follow the chosen channel. */
function refill(): void {
  for (const claim of claims) {
    part(claim.line, '.evidence').replaceChildren();
    fillClaim(claim);
  }
}

/** `/` goes to the search, `j` and `k` to the next and the last claim; Escape leaves the search or closes the claim. */
function startKeys(): void {
  const search = part<HTMLInputElement>(filters, '[name="search"]');
  document.addEventListener('keydown', (event) => {
    const { key, target, ctrlKey, metaKey, altKey } = event;
    if (ctrlKey || metaKey || altKey || !(target instanceof Element)) return;
    if (key === 'Escape') return leave(target, search);
    if (target.closest('input, select, textarea')) return;
    if (key === '/') {
      event.preventDefault();
      search.focus();
      search.select();
    }
    if (key === 'j') step(target, 1);
    if (key === 'k') step(target, -1);
  });
}

function leave(target: Element, search: HTMLInputElement): void {
  if (target === search) {
    search.value = '';
    search.dispatchEvent(new Event('input', { bubbles: true }));
    search.blur();
    return;
  }
  const open = target.closest<HTMLDetailsElement>('details[open]');
  if (!open) return;
  open.open = false;
  open.querySelector<HTMLElement>('summary')?.focus();
}

function step(target: Element, by: 1 | -1): void {
  const shown = claims.filter(({ line }) => !line.hidden);
  const here = shown.findIndex(({ line }) => line === target.closest('.claim'));
  const next = shown[here < 0 ? 0 : Math.min(shown.length - 1, Math.max(0, here + by))];
  next?.line.querySelector<HTMLElement>('summary')?.focus();
}

/** On paper a reader cannot open anything: claims that did not pass are printed with their worst finding open. */
function startPrinting(): void {
  let opened: Claim[] = [];
  window.addEventListener('beforeprint', () => {
    opened = claims.filter(({ spec, line }) => !line.open && standsOpen(spec) && !line.hidden);
    opened.forEach(openForPrint);
  });
  window.addEventListener('afterprint', () => {
    for (const { line } of opened) {
      line.open = false;
      line.classList.remove('for-print');
    }
  });
}

/** `toggle` comes too late for the printer, so the first finding is filled at once. */
function openForPrint(claim: Claim): void {
  claim.line.open = true;
  claim.line.classList.add('for-print');
  fillClaim(claim);
  const line = claim.line.querySelector<HTMLElement>('.finding');
  const placed = orderedFindings(claim.spec).find(
    (one) => keyOf(claim, one) === line?.dataset['finding'],
  );
  if (line && placed) fillFinding(line, placed);
}

function openLinked(): void {
  const id = decodeURIComponent(location.hash.slice(1));
  const claim = claims.find(({ line }) => line.id === id);
  if (!claim) return;
  claim.line.open = true;
  claim.line.scrollIntoView();
}
