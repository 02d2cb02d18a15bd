import { plainLine } from '../../../files/plain-text.ts';
import { shortId } from '../../../record/ids.ts';
import { endings, type Verdict } from '../../../verdict/verdict.ts';
import { type Html, html } from '../../html/html.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { decisionWords } from '../../words/decision-words.ts';
import { capital, counted, dateText } from '../../words/prose.ts';
import { type StoredSeal, sealWarning } from '../../words/seal-words.ts';
import { choice, field, searchForm } from './form.ts';

/** One line of the list of runs. */
export interface ListedRun {
  readonly folder: string;
  readonly id: string;
  readonly started: string;
  readonly lamp: string;
  readonly build: string;
  readonly rig: string;
  readonly simulated: boolean;
  readonly verdict: Verdict;
  readonly claims: Readonly<Record<string, number>>;
  readonly faults: number;
  readonly follows: readonly { readonly id: string; readonly how: string }[];
  /** As it stands in the file; the run's own sheet proves it. */
  readonly decision: string | null;
  readonly state: 'sealed' | 'running' | 'cut off' | 'altered';
  readonly seal: StoredSeal;
}

export interface RunList {
  readonly runs: readonly ListedRun[];
  /** Runs that match, on all pages. */
  readonly fitting: number;
  readonly all: number;
  /** What was asked for, as typed. */
  readonly asked: Readonly<Record<'lamp' | 'build' | 'verdict' | 'text', string>>;
  readonly page: number;
  readonly pages: number;
  /** Lamps that the archive knows. */
  readonly lamps: readonly string[];
}

/** The address of one run's own sheet. */
export function runHref(folder: string, part = ''): string {
  return `/runs/${encodeURIComponent(folder)}${part === '' ? '' : `/${part}`}`;
}

/** Every stored run, newest first; two of them can be chosen to be compared. */
export function runList(list: RunList): Html {
  return html`${filterForm(list)}${runForm(list)}${pageLinks(list)}`;
}

const search = {
  label: 'Search',
  placeholder: 'an id, a serial number, a rig',
  type: 'search',
} as const;

function filterForm({ asked, fitting, all, lamps }: RunList): Html {
  const fields = [
    field({ name: 'text', value: asked.text, ...search }),
    choice('lamp', 'Lamp', asked.lamp, lamps),
    field({ name: 'build', value: asked.build, label: 'Build', placeholder: 'such as 1.5.0' }),
    choice('verdict', 'Verdict', asked.verdict, endings),
  ];
  const matches =
    fitting === all
      ? counted(all, 'run')
      : html`${fitting} of ${counted(all, 'run')} match. <a href="/">Show all</a>`;
  const note = html`<p class="shown" role="status">${matches}</p>`;
  return searchForm('/', fields, 'Filter', note);
}

function runForm({ runs, all }: RunList): Html {
  if (runs.length === 0) {
    const none =
      all === 0
        ? 'No stored runs yet. To make the first one: evenfall run specs'
        : 'No run matches. Clear a filter.';
    return html`<p class="aside">${none}</p>`;
  }
  return html`
    <form method="get" action="/compare">
      <ol class="rows">${runs.map(runRow)}</ol>
      ${runs.length > 1 && html`<p class="press-line"><button class="press">Compare A with B</button> A is the earlier run, B the later one.</p>`}
    </form>`;
}

function runRow(run: ListedRun, index: number): Html {
  const { folder, id, lamp, build, started, rig, state, verdict } = run;
  // The two newest are what most people want to compare.
  const choosers = [chooser('a', run, index === 1), chooser('b', run, index === 0)];
  return html`
    <li class="row">
      <div class="margin">${stateLabel(state, verdict)}</div>
      <div>
        <a class="name" href="${runHref(folder)}">${plainLine(`${lamp}, build ${build}`)}</a>
        ${artificialLabel(run)}
        <p class="aside">${plainLine(`${dateText(started)}; rig ${rig}; run ${shortId(id)}`)}</p>
        <p>${plainLine(rowWords(run))}</p>
      </div>
      <div class="choose" role="group" aria-label="Compare run ${shortId(id)}">${choosers}</div>
    </li>`;
}

/** Beside the name of the lamp, in the first line: a simulation or a seeded fault must not be met further down. */
export function artificialLabel({
  simulated,
  faults,
}: Pick<ListedRun, 'simulated' | 'faults'>): Html | null {
  const words = [
    simulated ? 'simulated' : '',
    faults > 0 ? `${counted(faults, 'seeded fault')}: says nothing about the lamp` : '',
  ].filter(Boolean);
  return words.length > 0 ? html`<span class="artificial">${words.join('; ')}</span>` : null;
}

function chooser(name: 'a' | 'b', { folder, id }: ListedRun, isChecked: boolean): Html {
  const letter = name.toUpperCase();
  return html`
    <label>
      <input type="radio" name="${name}" value="${folder}"${isChecked && ' checked'} aria-label="run ${shortId(id)} as ${letter}">
      ${letter}
    </label>`;
}

/** A verdict that somebody may have written is none. */
function stateLabel(state: ListedRun['state'], verdict: Verdict): Html {
  if (state === 'altered') return alteredLabel();
  return state === 'running' ? runningLabel() : verdictLabel(verdict);
}

export function alteredLabel(): Html {
  return html`<span class="seal refused">▲ altered</span>`;
}

export function runningLabel(): Html {
  return html`<span class="verdict running">… running</span>`;
}

function rowWords(run: ListedRun): string {
  if (run.state === 'altered') return `${capital(sealWarning(run.seal) ?? '')}.`;
  const { claims, decision, follows, state } = run;
  const words = [
    state === 'running' ? 'in progress' : `${holdCount(claims)} hold`,
    state === 'cut off' ? 'cut off before the end; not sealed' : '',
    ...follows.map(({ id, how }) => `${how} ${shortId(id)}`),
    decisionWords(decision) ?? (state === 'sealed' ? 'not signed' : ''),
  ];
  return `${capital(words.filter(Boolean).join('; '))}.`;
}

/** `26 of 27 claims`: of those that the lamp can have. */
export function holdCount(claims: ListedRun['claims']): string {
  const all = Object.values(claims).reduce((sum, count) => sum + count, 0);
  return `${claims['pass'] ?? 0} of ${counted(all - (claims['not applicable'] ?? 0), 'claim')}`;
}

function pageLinks({ page, pages, asked }: RunList): Html | null {
  if (pages <= 1) return null;
  const link = (to: number, words: string): Html => {
    const given = Object.entries({ ...asked, page: `${to}` }).filter(([, value]) => value !== '');
    return html`<a href="/?${new URLSearchParams(given).toString()}">${words}</a>`;
  };
  return html`
    <nav class="pages" aria-label="Pages of the list">
      ${page > 1 && link(page - 1, 'Newer runs')}
      <span>page ${page} of ${pages}</span>
      ${page < pages && link(page + 1, 'Older runs')}
    </nav>`;
}
