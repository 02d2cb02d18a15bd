import { filedCaptures } from '../../../record/evidence-of.ts';
import type {
  CaptureRecord,
  ConditionRecord,
  Finding,
  InstrumentRecord,
  RunRecord,
  SpecRecord,
} from '../../../record/run-record.ts';
import { formatNumber } from '../../../units/format-quantity.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { toleranceRuler } from '../../pictures/tolerance-ruler.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { autoText, figureText, timeText, valueText } from '../../words/value-text.ts';
import { findingsWorstFirst, type Placed, placeText, whyText } from '../../words/worst-first.ts';
import { unbroken } from './claim-line.ts';

/** One finding as a line that opens. */
export function findingLine(placed: Placed, key: string): Markup {
  const { finding } = placed;
  return element(
    'details',
    { class: `finding ${finding.verdict.replace(' ', '-')}`, 'data-finding': key },
    element(
      'summary',
      {},
      verdictLabel(finding.verdict),
      element(
        'div',
        { class: 'words' },
        element('p', {}, element('em', {}, placeText(placed))),
        element('p', {}, finding.title),
      ),
      element(
        'div',
        { class: 'figure-words' },
        element('p', {}, element('b', {}, unbroken(valueText(finding)))),
        element('p', {}, `allowed ${unbroken(finding.limits.text)}`),
      ),
      element('div', { class: 'gauge' }, toleranceRuler(finding)),
    ),
    element('div', { class: 'proof' }),
  );
}

/** What a reader asks of a claim before its findings: where it is written, what it serves. */
export function claimFacts(spec: SpecRecord): Markup {
  const parts: Content[] = [element('code', {}, spec.file)];
  if (spec.traces.length > 0) parts.push(`requirement ${spec.traces.join(', ')}`);
  if (spec.tags.length > 0) parts.push(`tags ${spec.tags.join(', ')}`);
  parts.push(
    element('code', { title: `sha256 ${spec.digest}` }, `sha256 ${spec.digest.slice(0, 12)}…`),
  );
  return element(
    'p',
    { class: 'facts-line' },
    parts.map((part) => element('span', {}, part)),
  );
}

/** Conditions that ended without a finding, with their reasons: nothing else on the page would tell of them. */
export function bareConditions(spec: SpecRecord): Content[] {
  const measured = spec.conditions.some(({ findings }) => findings.length > 0);
  const own = spec.reason && !measured ? element('p', { class: 'bare' }, spec.reason) : null;
  const bare = spec.conditions
    .filter(({ findings }) => findings.length === 0)
    .map((condition) =>
      element(
        'p',
        { class: 'bare' },
        verdictLabel(condition.verdict),
        element(
          'span',
          {},
          element('em', {}, condition.key || 'the only condition'),
          ` ${condition.reason ?? ''}`,
        ),
        attemptsText(condition),
      ),
    );
  return [own, ...bare];
}

/** What did not pass, the worst first; then the rest in the order of the run, the closest of them ahead. */
export function orderedFindings(spec: SpecRecord): readonly Placed[] {
  const worstFirst = findingsWorstFirst(spec);
  const first = worstFirst.filter(({ finding }, k) => k === 0 || finding.verdict !== 'pass');
  const shown = new Set(first.map(({ finding }) => finding));
  const rest = spec.conditions.flatMap((condition) =>
    condition.findings.map((finding) => ({ condition, finding })),
  );
  return [...first, ...rest.filter(({ finding }) => !shown.has(finding))];
}

export function findingReason(finding: Finding): Markup | null {
  const why = whyText(finding);
  return why ? element('p', { class: 'reason' }, why) : null;
}

/** Everything beside the pictures: uncertainty budget, figures, commands, how it was taken. */
export function findingFacts(record: RunRecord, { condition, finding }: Placed): Content {
  return [
    element(
      'div',
      { class: 'columns' },
      budget(finding),
      figures(finding),
      commandTable(condition),
    ),
    takenWords(record, condition, finding),
  ];
}

function budget(finding: Finding): Content {
  const { uncertainty, unit, shown, outcome } = finding;
  if (!uncertainty || !outcome.measured) return null;
  const { expanded, coverageFactor, contributions } = uncertainty;
  const variance = contributions.reduce((sum, { standard }) => sum + standard ** 2, 0);
  const rows = [...contributions]
    .sort((a, b) => b.standard - a.standard)
    .map(({ name, standard }) => [
      name,
      figureText(standard, unit, shown, 2),
      shareText(standard ** 2 / variance),
    ]);
  return element(
    'section',
    {},
    element('h5', {}, 'Uncertainty budget'),
    element(
      'table',
      { class: 'budget' },
      element('thead', {}, row('th', ['contribution', 'u', 'of u²'])),
      element(
        'tbody',
        {},
        rows.map((cells) => row('td', cells)),
      ),
      element(
        'tfoot',
        {},
        row('td', [`U = ${coverageFactor} · u`, figureText(expanded, unit, shown, 2), '']),
      ),
    ),
  );
}

function shareText(share: number): string {
  if (!Number.isFinite(share)) return '';
  return share < 0.005 ? '< 1 %' : `${Math.round(share * 100)} %`;
}

function figures({ evidence, limits, rule, source, unit, shown }: Finding): Content {
  const notes = Object.entries(evidence.notes).map(([name, note]): [string, string] => [
    name.replaceAll('-', ' '),
    typeof note === 'number' ? formatNumber(note, 5) : note,
  ]);
  const limit = (name: string, value: number | null): [string, string][] =>
    value === null ? [] : [[name, figureText(value, unit, shown, 6)]];
  const rows: [string, string][] = [
    ...limit('lowest allowed', limits.lower),
    ...limit('target', limits.target),
    ...limit('highest allowed', limits.upper),
    ['decision rule', rule],
    ...notes,
    ['source', source],
  ];
  return element(
    'section',
    {},
    element('h5', {}, 'Figures'),
    element(
      'dl',
      { class: 'facts' },
      rows.map(([name, value]) => [element('dt', {}, name), element('dd', {}, value)]),
    ),
  );
}

const commandsShown = 40;

function commandTable({ commands }: ConditionRecord): Content {
  if (commands.length === 0) return null;
  // Where nothing answers (a burst of slots, a simulated line), there is no column of nothing.
  const answered = commands.some(({ reply }) => reply);
  const answer = (reply: string | null): string[] => (answered ? [reply ?? ''] : []);
  const rows = commands
    .slice(0, commandsShown)
    .map(({ at, link, text, reply }) => [autoText(at, 's', 5), link, text, ...answer(reply)]);
  const left = commands.length - commandsShown;
  return element(
    'section',
    { class: 'commanded' },
    element('h5', {}, 'Commanded'),
    element(
      'table',
      {},
      element('thead', {}, row('th', ['at', 'link', 'sent', ...(answered ? ['answer'] : [])])),
      element(
        'tbody',
        {},
        rows.map((cells) => row('td', cells)),
      ),
    ),
    left > 0 ? element('p', {}, `and ${left} more in run.json`) : null,
  );
}

function row(tag: 'th' | 'td', cells: readonly string[]): Markup {
  return element(
    'tr',
    {},
    cells.map((cell) => element(tag, tag === 'th' ? { scope: 'col' } : {}, cell)),
  );
}

function takenWords(record: RunRecord, condition: ConditionRecord, finding: Finding): Markup {
  const used = filedCaptures(condition, finding);
  const names = new Set(used.map(({ instrument }) => instrument));
  // Readings have no file that names their instrument, but it stands in the budget.
  const parts = finding.uncertainty?.contributions.map((part) => part.name).join('\n') ?? '';
  const instruments = record.rig.instruments.filter(
    ({ name }) => names.has(name) || parts.includes(name.replaceAll('-', ' ')),
  );
  return element(
    'p',
    { class: 'taken' },
    `Condition started ${condition.startedAt}, ${timeText(condition.duration)} of lamp time. `,
    attemptsText(condition),
    instruments.map((instrument) => `${instrumentWords(instrument)} `),
  );
}

function attemptsText({ attempts }: ConditionRecord): string {
  return attempts > 1 ? `Taken at attempt ${attempts}. ` : '';
}

function instrumentWords({ name, identity, simulated, calibration }: InstrumentRecord): string {
  const state = calibration
    ? `calibration ${calibration.state}, due ${calibration.due}, certificate ${calibration.certificate}`
    : 'no calibration stated';
  const kind = simulated
    ? 'simulated'
    : `${identity.maker} ${identity.model}, serial ${identity.serial}`;
  return `${name} (${kind}): ${state}.`;
}

/** How one capture was had, under its picture. */
export function captureCaption(capture: CaptureRecord): string {
  const { instrument, input, rate, samples, taken, clipped, file } = capture;
  const how = {
    'at-once': 'at once',
    multiplexed: 'in one of several passes',
    solo: 'each channel lit alone',
  };
  const clip = clipped > 0 ? ` ${clipped} samples lie on the end of the converter's range.` : '';
  return `${instrument}, input ${input}, ${autoText(rate, 'Hz')} (${samples} samples), ${how[taken]}.${clip} captures/${file}`;
}
