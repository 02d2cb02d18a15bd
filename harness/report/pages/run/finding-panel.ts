import { conditionWords } from '../../../record/condition-words.ts';
import { filedCaptures } from '../../../record/evidence-of.ts';
import { type FirmwareLine, firmwareLines } from '../../../record/firmware-lines.ts';
import { isStored } from '../../../record/kept-captures.ts';
import { lampTimeOf } from '../../../record/measurements.ts';
import { rigOf } from '../../../record/parts-of-run.ts';
import type {
  CaptureRecord,
  CommandRecord,
  ConditionRecord,
  Finding,
  InstrumentRecord,
  RunRecord,
  SpecRecord,
} from '../../../record/run-record.ts';
import { formatNumber } from '../../../units/format-quantity.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { factList, row, table } from '../../html/table.ts';
import type { DrawnChart } from '../../pictures/drawn-chart.ts';
import { toleranceRuler } from '../../pictures/tolerance-ruler.ts';
import { verdictClass, verdictLabel } from '../../pictures/verdict-shape.ts';
import { ambientWords } from '../../words/ambient-words.ts';
import { placeText, whyText } from '../../words/finding-words.ts';
import { freshnessWords } from '../../words/freshness-words.ts';
import { logInstant } from '../../words/log-words.ts';
import { marginShare } from '../../words/margin-words.ts';
import { counted, unbroken } from '../../words/prose.ts';
import { quarantineText } from '../../words/quarantine-words.ts';
import {
  coverageText,
  repeatedText,
  repeatedValues,
  timesWords,
} from '../../words/repeated-words.ts';
import { supplyWords } from '../../words/supply-words.ts';
import { autoText, expandedText, figureText, timeText, valueText } from '../../words/value-text.ts';
import { findingsWorstFirst, type Placed } from '../../words/worst-first.ts';
import { contributionTable } from './contribution-table.ts';

/** One finding as a line that opens. */
export function findingLine(placed: Placed, key: string): Html {
  const { finding } = placed;
  const { verdict, title, limits } = finding;
  const repeated = repeatedText(finding);
  return html`
    <details class="finding ${verdictClass(verdict)}" data-finding="${key}">
      <summary>
        ${verdictLabel(verdict)}
        <div class="words"><p><em>${placeText(placed)}</em></p><p>${title}</p></div>
        <div class="figure-words">
          <p><b>${unbroken(valueText(finding))}</b></p>
          ${repeated !== null && html`<p>${repeated}</p>`}
          <p>allowed ${unbroken(limits.text)}</p>
        </div>
        <div class="gauge">${toleranceRuler(finding)}</div>
      </summary>
      <div class="proof"></div>
    </details>`;
}

/** What a reader asks of a claim before its findings: where it is written, what it serves. */
export function claimFacts({ file, traces, tags, digest, quarantine }: SpecRecord): Html {
  const held = quarantineText({ quarantine });
  return html`
    ${held !== null && html`<p class="attention">${held}</p>`}
    <p class="facts-line">
      <span><code>${file}</code></span>
      ${traces.length > 0 && html`<span>requirement ${traces.join(', ')}</span>`}
      ${tags.length > 0 && html`<span>tags ${tags.join(', ')}</span>`}
      <span><code title="sha256 ${digest}">sha256 ${digest.slice(0, 12)}…</code></span>
    </p>`;
}

/** Conditions that ended without a finding, with their reasons: nothing else on the page would tell of them. */
export function bareConditions({ reason, conditions }: SpecRecord): Content {
  const bare = conditions.filter(({ findings }) => findings.length === 0);
  const nothingMeasured = bare.length === conditions.length;
  return [
    reason && nothingMeasured && html`<p class="bare">${reason}</p>`,
    bare.map(bareCondition),
  ];
}

function bareCondition(condition: ConditionRecord): Html {
  const { verdict, key, reason } = condition;
  const words = html`<span><em>${conditionWords(key) || 'the only condition'}</em> ${reason}</span>`;
  const how = `${attemptsText(condition)}${supplyWords(condition)}${ambientWords(condition)}${freshnessWords(condition)}`;
  return html`<p class="bare">${verdictLabel(verdict)}${words}${how}</p>`;
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

export function findingReason(finding: Finding): Html | null {
  const why = whyText(finding);
  return why === null ? null : html`<p class="reason">${why}</p>`;
}

/** Everything beside the pictures: largest contributions, uncertainty budget, figures, commands, how it was taken. */
export function findingFacts(
  record: RunRecord,
  { condition, finding }: Placed,
  charts: readonly DrawnChart[] = [],
): Html {
  return html`
    <div class="columns">${contributionTable(finding, charts)}${budget(finding)}${figures(finding)}${commandTable(condition)}</div>
    ${takenWords(record, condition, finding)}`;
}

function budget(finding: Finding): Html | null {
  const { uncertainty, unit, shown, outcome } = finding;
  if (!uncertainty || !outcome.measured) return null;
  const { coverageFactor, contributions } = uncertainty;
  const variance = contributions.reduce((sum, { standard }) => sum + standard ** 2, 0);
  const rows = [...contributions]
    .sort((a, b) => b.standard - a.standard)
    .map(({ name, standard }) =>
      row([name, figureText(standard, unit, shown, 2), shareText(standard ** 2 / variance)]),
    );
  const sum = row([`U = ${coverageText(coverageFactor)} · u`, expandedText(finding), '']);
  return html`
    <section class="budget">
      <h4>Uncertainty budget</h4>
      ${table(['contribution', 'u', 'of u²'], rows, sum)}
    </section>`;
}

function shareText(share: number): string {
  if (!Number.isFinite(share)) return '';
  return share < 0.005 ? '< 1 %' : `${Math.round(share * 100)} %`;
}

function figures(finding: Finding): Html {
  const { evidence, limits, rule, source, unit, shown, uncertainty } = finding;
  const share = marginShare(finding);
  const repeated = repeatedText(finding);
  const notes = Object.entries(evidence.notes).map(([name, note]): [string, string] => [
    name.replaceAll('-', ' '),
    typeof note === 'number' ? formatNumber(note, 5) : note,
  ]);
  const limit = (name: string, value: number | null): [string, string][] =>
    value === null ? [] : [[name, figureText(value, unit, shown, 6)]];
  const facts = factList([
    ...limit('lowest allowed', limits.lower),
    ...limit('target', limits.target),
    ...limit('highest allowed', limits.upper),
    ...(share === null ? [] : [['of the tolerance left', share] as [string, string]]),
    ['decision rule', rule],
    ...(repeated === null ? [] : [[repeated, repeatedValues(finding)] as [string, string]]),
    ...limit('least the record would show', uncertainty?.floor ?? null),
    ...notes,
    ['source', source],
  ]);
  return html`<section><h4>Figures</h4>${facts}</section>`;
}

const commandsShown = 40;
/** Lines of a log from its beginning, and as many from its end. */
const linesShown = 50;

/** What was sent, and what the firmware said meanwhile, in order of time. */
function commandTable(condition: ConditionRecord): Html | null {
  const { commands } = condition;
  const lines = firmwareLines(condition);
  if (commands.length === 0 && lines.length === 0) return null;
  // Where nothing answers (a burst of slots, a simulated line), there is no column of nothing.
  const isAnswered = commands.some(({ reply }) => reply);
  const isTimed = commands.some(({ left }) => left !== undefined);
  const sent = commands.slice(0, commandsShown).map(({ at, link, text, reply, ...instants }) => ({
    at,
    cells: [
      autoText(at, 's', 5),
      ...(isTimed ? [instantsText(instants)] : []),
      link,
      text,
      ...(isAnswered ? [reply] : []),
    ],
  }));
  const said = shownLines(lines).map(({ at, text, solo }) => ({
    at,
    cells: [
      logInstant(at),
      ...(isTimed ? [''] : []),
      solo === null ? 'firmware' : `firmware, ${solo}`,
      text,
      ...(isAnswered ? [''] : []),
    ],
  }));
  const rows = [...sent, ...said].toSorted((one, other) => one.at - other.at);
  const heads = ['at', ...(isTimed ? ['left, confirmed'] : []), 'link', 'sent'];
  const left = commands.length - commandsShown;
  const title = lines.length > 0 ? 'Commands, and what the firmware said' : 'Commands';
  return html`
    <section class="commanded">
      <h4>${title}</h4>
      ${table(
        [...heads, ...(isAnswered ? ['answer'] : [])],
        rows.map(({ cells }) => row(cells)),
      )}
      ${left > 0 && html`<p>and ${counted(left, 'more command')} in run.json</p>`}
    </section>`;
}

/** Where there are too many, the first and the last: one of the firmware's fits takes no more room than another. */
function shownLines(lines: readonly FirmwareLine[]): readonly FirmwareLine[] {
  const left = lines.slice(linesShown, -linesShown);
  const [next] = left;
  if (!next) return lines;
  const gap = { at: next.at, solo: null, text: `(and ${counted(left.length, 'more line')})` };
  return [...lines.slice(0, linesShown), gap, ...lines.slice(-linesShown)];
}

function instantsText({ left, confirmed }: Pick<CommandRecord, 'left' | 'confirmed'>): string {
  const known = [left, confirmed].filter((instant) => instant !== undefined);
  return known.map((instant) => autoText(instant, 's', 5)).join(', ');
}

function takenWords(record: RunRecord, condition: ConditionRecord, finding: Finding): Html {
  const used = filedCaptures(condition, finding);
  const names = new Set(used.map(({ instrument }) => instrument));
  // Readings have no file that names their instrument, but it stands in the budget.
  const parts = finding.uncertainty?.contributions.map((part) => part.name).join('\n') ?? '';
  const instruments = rigOf(record, condition).instruments.filter(
    ({ name }) => names.has(name) || parts.includes(name.replaceAll('-', ' ')),
  );
  const start = `Condition started ${condition.startedAt}, ${timeText(lampTimeOf(condition))} of lamp time. `;
  const words = instruments.map((instrument) => `${instrumentWords(instrument)} `);
  return html`<p class="taken">${start}${timesWords(condition)}${attemptsText(condition)}${supplyWords(condition)}${ambientWords(condition)}${freshnessWords(condition)}${words}</p>`;
}

function attemptsText({ attempts }: ConditionRecord): string {
  return attempts > 1 ? `Measured at attempt ${attempts}. ` : '';
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

const takenText: Readonly<Record<CaptureRecord['taken'], string>> = {
  'at-once': 'in one pass',
  multiplexed: 'in one of several passes',
  solo: 'with each channel lit alone',
  alongside: 'beside the others, as evidence',
};

/** How one capture was taken, under its picture. */
export function captureCaption(capture: CaptureRecord): string {
  const { instrument, input, rate, samples, taken, clipped, file } = capture;
  const how = `${autoText(rate, 'Hz')} (${samples} samples), ${takenText[taken]}`;
  const clip = clipped > 0 ? ` ${clipped} samples lie at the end of the converter's range.` : '';
  const where = isStored(capture) ? `captures/${file}` : 'Its samples were not kept.';
  return `${instrument}, input ${input}, ${how}.${clip} ${where}`;
}
