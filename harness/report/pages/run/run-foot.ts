import type { InstrumentRecord, RunRecord } from '../../../record/run-record.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { deviationTexts } from '../../text/summary.ts';
import { verdictMeaning, verdicts } from '../../words/verdict-words.ts';

/** How the figures were had: decision rule, instruments and their calibration, identity of all that took part, safety. */
export function runFoot(record: RunRecord): Markup {
  return element(
    'footer',
    {},
    element('section', {}, element('h2', {}, 'How it was decided'), decisionWords(record)),
    element('section', {}, element('h2', {}, 'Instruments'), instrumentTable(record)),
    deviationSection(record),
    element('section', {}, element('h2', {}, 'What took part'), identityList(record)),
    element('section', { class: 'safety' }, element('h2', {}, 'Read with care'), cautions()),
  );
}

/** The head of the page tells deviations of one kind as one; here each stands for itself. */
function deviationSection({ deviations }: RunRecord): Markup | null {
  if (deviationTexts(deviations).length === deviations.length) return null;
  return element(
    'section',
    {},
    element('h2', {}, 'Deviations'),
    element(
      'ul',
      {},
      deviations.map(({ kind, text }) => element('li', {}, `${kind}: ${text}`)),
    ),
  );
}

export function decisionWords({ decision }: RunRecord): Content {
  const k = decision.coverageFactor;
  const rule =
    decision.rule === 'guarded'
      ? `Guarded acceptance: a value passes when it keeps its tolerance by at least its expanded uncertainty U (k = ${k}), fails when it breaks it by as much, and is inconclusive between. On the rulers the guard band is the paler part of the allowed band, and the whisker is ± U.`
      : `Simple acceptance: the value alone is held against its tolerance (guard band w = 0). The whisker on the rulers is the expanded uncertainty U (k = ${k}), for the reader.`;
  return [
    element('p', {}, rule),
    element(
      'dl',
      { class: 'legend' },
      verdicts.map((verdict) => [
        element('dt', {}, verdictLabel(verdict)),
        element('dd', {}, verdictMeaning[verdict]),
      ]),
    ),
  ];
}

export function instrumentTable({ rig }: RunRecord): Markup {
  return element(
    'div',
    { class: 'table', tabindex: 0, role: 'region', 'aria-label': 'Instruments' },
    element(
      'table',
      {},
      element(
        'thead',
        {},
        element(
          'tr',
          {},
          ['instrument', 'identity', 'calibration', 'calibrated', 'due', 'certificate'].map(
            (head) => element('th', { scope: 'col' }, head),
          ),
        ),
      ),
      element('tbody', {}, rig.instruments.map(instrumentRow)),
    ),
  );
}

function instrumentRow({
  name,
  driver,
  simulated,
  identity,
  calibration,
}: InstrumentRecord): Markup {
  const cells = calibration
    ? [calibration.state, calibration.date, calibration.due, calibration.certificate]
    : ['none stated', '', '', ''];
  return element(
    'tr',
    {},
    element('th', { scope: 'row' }, name, simulated ? ' (simulated)' : ` (${driver})`),
    element('td', {}, identityText(identity)),
    cells.map((cell, k) =>
      element(
        'td',
        { class: k === 0 && calibration?.state !== 'valid' ? 'attention' : undefined },
        cell,
      ),
    ),
  );
}

/** What an instrument says of itself; many leave parts of it blank. */
function identityText({ maker, model, serial, firmware }: InstrumentRecord['identity']): string {
  const parts = [
    [maker, model].filter(Boolean).join(' '),
    serial && `serial ${serial}`,
    firmware && `firmware ${firmware}`,
  ];
  return parts.filter(Boolean).join(', ') || 'not stated';
}

export function identityList(record: RunRecord): Markup {
  const { lamp, rig, harness, seed, selection, safeState } = record;
  const rows: [string, Content][] = [
    ['lamp file', [lamp.file, hash(lamp.digest)]],
    ['firmware', [`${lamp.firmware.name} (${lamp.firmware.kind})`, hash(lamp.firmware.digest)]],
    ['rig file', [rig.file, hash(rig.digest)]],
    ['place', rig.place],
    ...(record.operator ? [['operator', record.operator] as [string, Content]] : []),
    ['ambient', `${rig.ambient} °C`],
    ...Object.entries(rig.notes).map(([name, note]): [string, Content] => [name, `${note}`]),
    ['seed', `${seed}`],
    ['selected', [...selection.paths, ...selection.tags.map((tag) => `tag ${tag}`)].join(', ')],
    ['harness', `Evenfall ${harness.version}, Node ${harness.node}${commitText(harness.commit)}`],
    ['started, ended', `${record.startedAt}, ${record.endedAt ?? 'not ended'} (${record.ended})`],
    ['safe state', `${safeState.confirmed ? 'confirmed' : 'NOT confirmed'}: ${safeState.detail}`],
  ];
  return element(
    'dl',
    { class: 'facts' },
    rows.map(([name, value]) => [element('dt', {}, name), element('dd', {}, value)]),
  );
}

function commitText(commit: string | null): string {
  return commit ? `, commit ${commit.slice(0, 12)}` : '';
}

function hash(digest: string | null): Content {
  return digest
    ? element('code', { title: `sha256 ${digest}` }, ` sha256 ${digest.slice(0, 12)}…`)
    : null;
}

export function cautions(): Content {
  return element(
    'ul',
    {},
    cautionTexts.map((text) => element('li', {}, text)),
  );
}

const cautionTexts: readonly string[] = [
  'The figures are pre-compliance: they guide development and a release decision, and they never certify. The results relate only to the lamp that was tested.',
  'Bright light and blue-light hazard: look at a lamp under test through its diffuser only (IEC 62471 says how the hazard is graded).',
  'Light that flashes at 3 to 70 Hz can start a seizure in people with photosensitive epilepsy; specs of that kind belong behind a screen.',
  'Drivers without isolation sit at mains potential, and parts get hot. Local codes and licensed practice come before anything written here.',
];
