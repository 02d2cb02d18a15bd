import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { plainLine } from '../../words/plain-text.ts';
import { claimsWorstFirst } from '../../words/worst-first.ts';
import { claimId } from '../run/claim-line.ts';
import { capital, dateText } from '../run/run-head.ts';
import { benchText, runHref } from './run-list.ts';
import { type CheckedSeal, sealSection } from './seal.ts';

export interface RunSheet {
  readonly folder: string;
  readonly record: RunRecord;
  readonly seal: CheckedSeal;
  /** Files of the manifest. */
  readonly files: readonly {
    readonly file: string;
    readonly bytes: number;
    readonly sha256: string;
  }[];
  /** The run before this one of the same lamp, to compare with. */
  readonly before: {
    readonly folder: string;
    readonly build: string;
    readonly started: string;
  } | null;
}

/** A line under the heading: when, on what. */
export function whereText({ startedAt, rig, lamp, operator }: RunRecord): string {
  const bench = benchText(rig.name, rig.simulated);
  const by = operator === undefined ? '' : ` Operator: ${operator}.`;
  return `${dateText(startedAt)}. Rig: ${bench}. Lamp serial: ${lamp.serial}.${by}`;
}

/** What a finished run is, what did not hold, whether its files are sound, and the ways on from here. */
export function viewRun(sheet: RunSheet): Content {
  const { folder, record, seal, files, before } = sheet;
  const hasPage = files.some(({ file }) => file === 'index.html');
  return [
    element('p', { class: 'run-id' }, `Run ${record.id}`),
    outcome(record),
    element(
      'p',
      { class: 'ways' },
      hasPage &&
        element('a', { class: 'press', href: runHref(folder, 'page') }, 'Open the run page'),
      element('a', { class: 'press', href: runHref(folder, 'sign') }, 'Sign a decision'),
      before &&
        element(
          'a',
          {
            class: 'press',
            href: `/compare?a=${encodeURIComponent(before.folder)}&b=${encodeURIComponent(folder)}`,
          },
          plainLine(`Compare with build ${before.build} of ${before.started.slice(0, 10)}`),
        ),
    ),
    openClaims(folder, record, hasPage),
    element('section', {}, element('h2', {}, 'Seal and signatures'), sealSection(seal)),
    element('section', {}, element('h2', {}, 'Files'), fileList(folder, files)),
  ];
}

/** How it ended, and what a reader must not miss. */
export function outcome({ specs, verdict, ended, faults }: RunRecord): Markup {
  const holds = specs.filter((spec) => spec.verdict === 'pass').length;
  const lead =
    holds === specs.length && holds > 0
      ? `All ${holds} claims hold.`
      : `${holds} of ${specs.length} claims hold.`;
  return element(
    'p',
    { class: 'lead' },
    verdictLabel(verdict),
    ' ',
    element('strong', {}, lead),
    ended !== 'complete' && ` The run ended ${ended}.`,
    faults.length > 0 &&
      ` Seeded: ${faults.map(({ fault }) => fault).join(', ')}. Such a run says nothing of the lamp.`,
  );
}

function openClaims(folder: string, record: RunRecord, hasPage: boolean): Markup | null {
  const open = claimsWorstFirst(record).filter(({ verdict }) => verdict !== 'pass');
  if (open.length === 0) return null;
  return element(
    'section',
    {},
    element('h2', {}, 'What did not hold'),
    element(
      'ul',
      { class: 'rows' },
      open.map((spec) => {
        const href = `${runHref(folder, 'page')}#${claimId(spec)}`;
        const words = plainLine(spec.claim);
        return element(
          'li',
          { class: 'row' },
          element('div', { class: 'margin' }, verdictLabel(spec.verdict)),
          element(
            'div',
            {},
            hasPage ? element('a', { href }, words) : words,
            element('p', { class: 'aside' }, plainLine(`${spec.spec}${reasonOf(spec)}`)),
          ),
        );
      }),
    ),
  );
}

/** Why, from the claim itself or from its first finding of that verdict. */
function reasonOf(spec: SpecRecord): string {
  const findings = spec.conditions.flatMap((condition) => condition.findings);
  const worst = findings.find(({ verdict }) => verdict === spec.verdict);
  const condition = spec.conditions.find(({ verdict }) => verdict === spec.verdict);
  const reason = spec.reason ?? worst?.reason ?? condition?.reason;
  return reason ? `: ${capital(reason)}` : '';
}

function fileList(folder: string, files: RunSheet['files']): Markup {
  const rows = files.map(({ file, bytes, sha256 }) =>
    element(
      'tr',
      {},
      element(
        'th',
        { scope: 'row' },
        element(
          'a',
          { href: runHref(folder, `files/${file.split('/').map(encodeURIComponent).join('/')}`) },
          file,
        ),
      ),
      element('td', {}, `${bytes} B`),
      element('td', {}, element('code', {}, sha256.slice(0, 16), '…')),
    ),
  );
  return element(
    'details',
    { class: 'capture' },
    element('summary', {}, `${files.length} files with their hashes`),
    element(
      'div',
      { class: 'table', tabindex: 0, role: 'region', 'aria-label': 'files' },
      element(
        'table',
        {},
        element(
          'thead',
          {},
          element(
            'tr',
            {},
            ['File', 'Size', 'SHA-256'].map((name) => element('th', { scope: 'col' }, name)),
          ),
        ),
        element('tbody', {}, rows),
      ),
    ),
  );
}
