import { filedCaptures } from '../../record/evidence-of.ts';
import type { CaptureRecord, ConditionRecord, SpecRecord } from '../../record/run-record.ts';
import { element } from '../html/markup.ts';
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
import { chartToDraw, recordTitle, tracesToDraw } from '../pictures/drawn-chart.ts';
import type { Placed } from '../words/worst-first.ts';
import { chartFigure } from './chart-figure.ts';
import { claimFilter, type Wanted } from './claim-filter.ts';
import { toNode } from './to-node.ts';

/** Findings put under a claim at once; more come on asking. */
const findingsAtOnce = 60;

const { record } = readData<PageRun>('run');
let evidenceRead: PageEvidence | undefined;
// Read when the first claim is opened: the charts are the bulk of the page.
const evidence = (): PageEvidence => (evidenceRead ??= readData<PageEvidence>('evidence'));

const claims = [...document.querySelectorAll<HTMLDetailsElement>('.claim')];
const filters = document.querySelector('.filters') as HTMLFormElement;

for (const claim of claims) claim.addEventListener('toggle', () => fillClaim(claim));
startFilters();
startKeys();
startPrinting();
openLinked();
window.addEventListener('hashchange', openLinked);

function readData<T>(id: string): T {
  return JSON.parse(document.getElementById(id)?.textContent ?? '{}') as T;
}

function fillClaim(claim: HTMLDetailsElement): void {
  const body = claim.querySelector('.evidence') as HTMLElement;
  if (!claim.open || body.hasChildNodes()) return;
  const index = Number(claim.dataset['claim']);
  const spec = record.specs[index] as SpecRecord;
  body.append(toNode([claimFacts(spec), bareConditions(spec)]));
  const list = toNode(element('div', { class: 'findings' })) as HTMLElement;
  body.append(list);
  addFindings(list, spec, index, wanted().channel);
  list.querySelector<HTMLDetailsElement>('.finding')?.setAttribute('open', '');
}

function addFindings(list: HTMLElement, spec: SpecRecord, index: number, channel: string): void {
  const all = orderedFindings(spec).filter(
    ({ finding }) => !channel || finding.of === channel || finding.of === 'lamp',
  );
  let shown = 0;
  const more = toNode(element('button', { type: 'button', class: 'more' })) as HTMLButtonElement;
  const addSome = (): void => {
    more.remove();
    for (const placed of all.slice(shown, shown + findingsAtOnce)) {
      const line = toNode(findingLine(placed, keyOf(spec, index, placed))) as HTMLDetailsElement;
      line.addEventListener('toggle', () => fillFinding(line, placed));
      list.append(line);
    }
    shown = Math.min(all.length, shown + findingsAtOnce);
    if (shown < all.length) {
      more.textContent = `Show ${Math.min(findingsAtOnce, all.length - shown)} of ${all.length - shown} more findings`;
      list.append(more);
    }
  };
  more.addEventListener('click', addSome);
  addSome();
}

function keyOf(spec: SpecRecord, index: number, { condition, finding }: Placed): string {
  const c = spec.conditions.indexOf(condition);
  return evidenceKey(index, c, condition.findings.indexOf(finding));
}

function fillFinding(line: HTMLDetailsElement, placed: Placed): void {
  const proof = line.querySelector('.proof') as HTMLElement;
  if (!line.open || proof.hasChildNodes()) return;
  const charts = evidence().charts[line.dataset['finding'] ?? ''] ?? [];
  proof.append(toNode(findingReason(placed.finding)));
  for (const chart of charts) proof.append(chartFigure(chartToDraw(chart)));
  proof.append(...recordFolds(placed, charts.length === 0));
  proof.append(toNode(findingFacts(record, placed)));
}

/** The records that the finding rests on, one picture a signal; the first is drawn where no chart tells the story. */
function recordFolds({ condition, finding }: Placed, drawFirst: boolean): HTMLElement[] {
  const captures = filedCaptures(condition, finding);
  const kinds = [...new Set(captures.map(({ signal, unit }) => `${signal} ${unit}`))];
  return kinds.map((kind, k) => {
    const own = captures.filter(({ signal, unit }) => `${signal} ${unit}` === kind);
    const fold = toNode(
      element(
        'details',
        { class: 'capture' },
        element('summary', {}, `Record: ${recordTitle(own)}`),
      ),
    ) as HTMLDetailsElement;
    const fill = (): void => {
      if (!fold.querySelector('figure, p')) fold.append(recordPicture(own, condition));
    };
    fold.addEventListener('toggle', () => fold.open && fill());
    if (drawFirst && k === 0) {
      fold.open = true;
      fill();
    }
    return fold;
  });
}

function recordPicture(captures: readonly CaptureRecord[], condition: ConditionRecord): Node {
  const captions = captures.map(captureCaption);
  const taken = captures.flatMap((capture) => {
    const trace = evidence().traces[capture.file];
    return trace ? [{ capture, trace }] : [];
  });
  return taken.length > 0
    ? chartFigure(tracesToDraw(taken, condition), captions)
    : toNode(element('p', {}, `The samples are in the run's folder only. ${captions.join(' ')}`));
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
  const status = filters.querySelector('.shown') as HTMLElement;
  const none = document.querySelector('.none') as HTMLElement;
  let channel = '';
  const apply = (): void => {
    const want = wanted();
    let shown = 0;
    for (const claim of claims) {
      claim.hidden = !fits(Number(claim.dataset['claim']), want);
      if (!claim.hidden) shown++;
    }
    for (const folder of document.querySelectorAll<HTMLElement>('.folder'))
      folder.hidden = folder.querySelector('.claim:not([hidden])') === null;
    if (want.channel !== channel) refill();
    channel = want.channel;
    none.hidden = shown > 0;
    status.textContent = shown === claims.length ? '' : `${shown} of ${claims.length} claims shown`;
  };
  filters.addEventListener('input', apply);
  filters.addEventListener('submit', (event) => event.preventDefault());
  filters.addEventListener('click', (event) => {
    const button = (event.target as Element).closest('[data-verdict]');
    if (!button) return;
    button.setAttribute('aria-pressed', String(button.getAttribute('aria-pressed') !== 'true'));
    apply();
  });
}

/** Findings under a claim follow the chosen channel. */
function refill(): void {
  for (const claim of claims) {
    (claim.querySelector('.evidence') as HTMLElement).replaceChildren();
    fillClaim(claim);
  }
}

/** `/` goes to the search, `j` and `k` to the next and the last claim; Escape leaves the search or closes the claim. */
function startKeys(): void {
  document.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const target = event.target as HTMLElement;
    const search = filters.elements.namedItem('search') as HTMLInputElement;
    if (event.key === 'Escape') return void leave(target, search);
    if (target.closest('input, select, textarea')) return;
    if (event.key === '/') {
      event.preventDefault();
      search.focus();
      search.select();
    }
    if (event.key === 'j') step(target, 1);
    if (event.key === 'k') step(target, -1);
  });
}

function leave(target: HTMLElement, search: HTMLInputElement): void {
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

function step(target: HTMLElement, by: 1 | -1): void {
  const shown = claims.filter((claim) => !claim.hidden);
  const here = shown.indexOf(target.closest('.claim') as HTMLDetailsElement);
  const next = shown[here < 0 ? 0 : Math.min(shown.length - 1, Math.max(0, here + by))];
  next?.querySelector<HTMLElement>('summary')?.focus();
}

/** On paper a reader cannot open anything: claims that did not pass are printed with their worst finding open. */
function startPrinting(): void {
  let opened: HTMLDetailsElement[] = [];
  window.addEventListener('beforeprint', () => {
    opened = claims.filter(
      (claim) => !claim.open && !claim.classList.contains('pass') && !claim.hidden,
    );
    for (const claim of opened) {
      claim.open = true;
      claim.classList.add('for-print');
      fillClaim(claim);
      const first = claim.querySelector<HTMLDetailsElement>('.finding');
      if (first) fillOpen(first);
    }
  });
  window.addEventListener('afterprint', () => {
    for (const claim of opened) {
      claim.open = false;
      claim.classList.remove('for-print');
    }
  });
}

/** `toggle` comes too late for the printer, so the finding is filled at once. */
function fillOpen(line: HTMLDetailsElement): void {
  const claim = line.closest<HTMLElement>('.claim');
  const spec = record.specs[Number(claim?.dataset['claim'])];
  const index = Number(claim?.dataset['claim']);
  const placed =
    spec && orderedFindings(spec).find((p) => keyOf(spec, index, p) === line.dataset['finding']);
  if (placed) fillFinding(line, placed);
}

function openLinked(): void {
  const id = decodeURIComponent(location.hash.slice(1));
  const claim = claims.find((one) => one.id === id);
  if (!claim) return;
  claim.open = true;
  claim.scrollIntoView();
}
