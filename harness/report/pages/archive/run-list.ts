import { shortId } from '../../../record/run-id.ts';
import type { Verdict } from '../../../verdict/verdict.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { plainLine } from '../../words/plain-text.ts';
import { verdicts } from '../../words/verdict-words.ts';
import { capital, dateText } from '../run/run-head.ts';

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
  readonly state: 'sealed' | 'running' | 'cut off';
}

export interface RunList {
  readonly runs: readonly ListedRun[];
  /** Runs that fit, on all pages. */
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

/** Every stored run, youngest first; two of them can be chosen to be compared. */
export function viewRuns(list: RunList): Content {
  return [filterForm(list), runForm(list), pageLinks(list)];
}

function filterForm({ asked, fitting, all, lamps }: RunList): Markup {
  const field = (name: 'build' | 'text', label: string, placeholder: string, more = '') =>
    element(
      'label',
      { class: more },
      element('span', {}, label),
      element('input', {
        name,
        value: asked[name],
        placeholder,
        autocomplete: 'off',
        type: name === 'text' ? 'search' : 'text',
      }),
    );
  return element(
    'form',
    { class: 'asking', role: 'search', method: 'get', action: '/' },
    element(
      'div',
      { class: 'fields' },
      field('text', 'Search', 'an id, a serial number, a rig', 'search'),
      choice('lamp', 'Lamp', asked.lamp, lamps),
      field('build', 'Build', 'such as 1.5.0'),
      choice('verdict', 'Verdict', asked.verdict, verdicts),
      element('button', { class: 'press' }, 'Filter'),
    ),
    element(
      'p',
      { class: 'shown', role: 'status' },
      fitting === all ? counted(all) : `${fitting} of ${counted(all)} fit. `,
      fitting !== all && element('a', { href: '/' }, 'Show all'),
    ),
  );
}

function choice(name: string, label: string, chosen: string, options: readonly string[]): Markup {
  // What was asked for stays to be seen, even where no run has it.
  const all = chosen === '' || options.includes(chosen) ? options : [chosen, ...options];
  return element(
    'label',
    {},
    element('span', {}, label),
    element(
      'select',
      { name },
      element('option', { value: '' }, 'any'),
      all.map((option) =>
        element('option', { value: option, selected: option === chosen }, option),
      ),
    ),
  );
}

function counted(count: number): string {
  return count === 1 ? '1 run' : `${count} runs`;
}

function runForm({ runs, all }: RunList): Markup {
  if (runs.length === 0) {
    const none =
      all === 0
        ? 'There are no stored runs yet. evenfall run specs makes the first one.'
        : 'No run fits. Ask for less.';
    return element('p', { class: 'aside' }, none);
  }
  return element(
    'form',
    { method: 'get', action: '/compare' },
    element('ol', { class: 'rows' }, runs.map(runRow)),
    runs.length > 1 &&
      element(
        'p',
        { class: 'press-line' },
        element('button', { class: 'press' }, 'Compare A with B'),
        ' A is the earlier run, B the later one.',
      ),
  );
}

function runRow(run: ListedRun, index: number): Markup {
  const { folder, id, lamp, build, started, rig, simulated, state } = run;
  const bench = benchText(rig, simulated);
  return element(
    'li',
    { class: 'row' },
    element(
      'div',
      { class: 'margin' },
      state === 'running' ? runningLabel() : verdictLabel(run.verdict),
    ),
    element(
      'div',
      {},
      element('a', { class: 'name', href: runHref(folder) }, plainLine(`${lamp}, build ${build}`)),
      element(
        'p',
        { class: 'aside' },
        plainLine(`${dateText(started)}; rig ${bench}; run ${shortId(id)}`),
      ),
      element('p', {}, plainLine(rowWords(run))),
    ),
    element(
      'div',
      { class: 'choose', role: 'group', 'aria-label': `Compare run ${shortId(id)}` },
      // The two youngest are what most people want to compare.
      chooser('a', folder, id, index === 1),
      chooser('b', folder, id, index === 0),
    ),
  );
}

/** A simulated rig is always named as such, but not twice. */
export function benchText(rig: string, simulated: boolean): string {
  return simulated && !/simulat/i.test(rig) ? `${rig} (simulated)` : rig;
}

function chooser(name: 'a' | 'b', folder: string, id: string, checked: boolean): Markup {
  return element(
    'label',
    {},
    element('input', {
      type: 'radio',
      name,
      value: folder,
      checked,
      'aria-label': `run ${shortId(id)} as ${name.toUpperCase()}`,
    }),
    name.toUpperCase(),
  );
}

export function runningLabel(): Markup {
  return element('span', { class: 'verdict running' }, '… running');
}

function rowWords({ claims, decision, faults, follows, state }: ListedRun): string {
  const all = Object.values(claims).reduce((sum, count) => sum + count, 0);
  const words = [
    state === 'running' ? 'in flight' : `${claims['pass'] ?? 0} of ${all} claims hold`,
    state === 'cut off' ? 'cut off: not complete' : '',
    faults > 0 ? `${faults} seeded ${faults === 1 ? 'fault' : 'faults'}` : '',
    ...follows.map(({ id, how }) => `${how} ${shortId(id)}`),
    decision !== null ? `signed: ${decision}` : state === 'sealed' ? 'not signed' : '',
  ];
  return `${capital(words.filter((word) => word !== '').join('; '))}.`;
}

function pageLinks({ page, pages, asked }: RunList): Markup | null {
  if (pages <= 1) return null;
  const link = (to: number, words: string): Content => {
    const query = new URLSearchParams(
      Object.entries({ ...asked, page: `${to}` }).filter(([, value]) => value !== ''),
    );
    return element('a', { href: `/?${query}` }, words);
  };
  return element(
    'nav',
    { class: 'pages', 'aria-label': 'Pages of the list' },
    page > 1 && link(page - 1, 'Younger runs'),
    element('span', {}, `page ${page} of ${pages}`),
    page < pages && link(page + 1, 'Older runs'),
  );
}
