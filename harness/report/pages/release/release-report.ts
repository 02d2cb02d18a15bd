import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { pageStyle, releaseReportStyle } from '../../html/assets.js';
import { renderDocument } from '../../html/document.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { counted } from '../../text/summary.ts';
import { figureText, timeText } from '../../words/value-text.ts';
import { verdicts } from '../../words/verdict-words.ts';
import { cautions, decisionWords, identityList, instrumentTable } from '../run/run-foot.ts';
import { dateText } from '../run/run-head.ts';
import { authorisation } from './authorisation.ts';
import { exceptions } from './exceptions.ts';
import { resultTables } from './result-tables.ts';
import type { Signature } from './signature.ts';

export interface ReleaseReportSource {
  readonly record: RunRecord;
  /** sha256 of the manifest, or null where the run is not sealed. */
  readonly contentHash: string | null;
  /** When the report is issued, ISO 8601 UTC: not the time of the run. */
  readonly issuedAt: string;
  /** Signatures that were verified; an unverified one has no place on paper. */
  readonly signatures: readonly Signature[];
  /** Why sign-offs that lie with the run are not shown. */
  readonly doubts: readonly string[];
}

/**
 * The run as a report to be printed and signed: HTML without script. It carries the items that ISO/IEC 17025:2017
 * 7.8.2.1 lists for a report, as far as a run knows them, and conformity statements with rule and k (7.8.6).
 */
export function renderReleaseReport(source: ReleaseReportSource): string {
  const { record } = source;
  const title = `Test report ${record.id}`;
  return renderDocument({
    title,
    styles: [pageStyle, releaseReportStyle],
    body: reportBody(source),
  });
}

function reportBody(source: ReleaseReportSource): Content {
  const { record } = source;
  return element(
    'div',
    { class: 'report' },
    cover(source),
    section('Summary', summaryTable(record)),
    section('Exceptions', exceptions(record, source.signatures)),
    section('Results', resultTables(record)),
    section('Uncertainty and decision rule', uncertaintyWords(record), decisionWords(record)),
    section('Instruments and calibration', instrumentTable(record)),
    section('Deviations', deviationList(record)),
    section('Identification', identityList(record)),
    section('Cautions', cautions()),
    section('Authorisation', authorisation(source.signatures, source.doubts)),
    element('p', { class: 'end' }, `End of report ${record.id}`),
  );
}

function section(title: string, ...content: Content[]): Markup {
  return element('section', {}, element('h2', {}, title), content);
}

function cover(source: ReleaseReportSource): Markup {
  const { record, contentHash, issuedAt } = source;
  const { lamp, rig, startedAt, endedAt, harness, operator, follows } = record;
  const rows: [string, Content][] = [
    ['report', record.id],
    ...follows.map(({ id, how }): [string, Content] => [how, `run ${id}`]),
    [
      'content',
      contentHash ? `manifest sha256 ${contentHash}` : 'not sealed: the run is unfinished',
    ],
    ['place', rig.place],
    ['made by', lamp.maker],
    ['item tested', `${lamp.name}, serial ${lamp.serial}`],
    ['firmware', firmwareText(record)],
    [
      'method',
      `Evenfall ${harness.version}, ${counted(record.specs.length, 'spec')} (files and hashes under Results)`,
    ],
    ...(operator ? [['operator', operator] as [string, Content]] : []),
    ['performed', `${startedAt} to ${endedAt ?? 'not ended'}`],
    ['issued', issuedAt],
    [
      'conditions',
      `ambient ${rig.ambient} °C, ${rig.simulated ? 'simulated instruments' : rig.name}`,
    ],
  ];
  return element(
    'header',
    { class: 'cover' },
    element('p', { class: 'maker' }, 'Test report'),
    element('h1', {}, `${lamp.name}, build ${lamp.build}`),
    element('p', { class: 'where' }, dateText(startedAt)),
    element(
      'p',
      { class: 'decision' },
      element('b', {}, decisionText(source)),
      ' ',
      verdictText(record),
      ' ',
      waiverText(source),
    ),
    element(
      'dl',
      { class: 'facts' },
      rows.map(([name, value]) => [element('dt', {}, name), element('dd', {}, value)]),
    ),
    element(
      'p',
      { class: 'scope' },
      'The results relate only to the item tested. The figures are pre-compliance: they never certify. This report is to be passed on whole.',
    ),
  );
}

function firmwareText({ lamp }: RunRecord): string {
  const { name, kind, digest } = lamp.firmware;
  return `build ${lamp.build}, ${name} (${kind})${digest ? `, sha256 ${digest}` : ''}`;
}

function decisionText({ signatures, doubts }: ReleaseReportSource): string {
  if (doubts.length > 0) return 'Decision: cannot be proved here, see Authorisation.';
  if (signatures.length === 0) return 'Decision: none yet.';
  // What was decided in one way is one sentence; later signatures may decide otherwise.
  const decided = [...new Set(signatures.map(({ decision }) => decision))];
  const sentences = decided.map((decision) => {
    const people = signatures
      .filter((one) => one.decision === decision)
      .map(({ name, meaning }) => `${name} (${meaning})`);
    return `${decision}, by ${people.join(' and ')}`;
  });
  return `Decision: ${sentences.join('; then ')}.`;
}

function waiverText({ signatures }: ReleaseReportSource): string | null {
  const waived = new Set(signatures.flatMap(({ waivers }) => waivers.map(({ claim }) => claim)));
  return waived.size > 0
    ? `${counted(waived.size, 'claim')} waived, each with its reason under Exceptions.`
    : null;
}

function verdictText({ specs, verdict }: RunRecord): string {
  const holds = specs.filter((spec) => spec.verdict === 'pass').length;
  return `${holds} of ${counted(specs.length, 'claim')} hold; the run as a whole: ${verdict}.`;
}

function summaryTable({ specs }: RunRecord): Markup {
  const folders = [...new Set(specs.map(({ folder }) => folder))];
  const row = (name: string, own: readonly SpecRecord[]) =>
    element(
      'tr',
      {},
      element('th', { scope: 'row' }, name),
      verdicts.map((verdict) => {
        const count = own.filter((spec) => spec.verdict === verdict).length;
        return element('td', {}, count === 0 ? '' : count);
      }),
    );
  return element(
    'table',
    { class: 'counts' },
    element(
      'thead',
      {},
      element(
        'tr',
        {},
        element('th', {}, 'claims'),
        verdicts.map((verdict) => element('th', { scope: 'col' }, verdictLabel(verdict))),
      ),
    ),
    element(
      'tbody',
      {},
      folders.map((folder) =>
        row(
          folder,
          specs.filter((spec) => spec.folder === folder),
        ),
      ),
    ),
    element('tfoot', {}, row('all', specs)),
  );
}

function uncertaintyWords({ decision, specs }: RunRecord): Markup {
  const budgets = specs.flatMap((spec) => spec.conditions.flatMap(({ findings }) => findings));
  const widest = budgets
    .filter(({ uncertainty, limits }) => uncertainty && limits.upper !== null && limits.upper > 0)
    .sort(
      (a, b) =>
        b.uncertainty!.expanded / b.limits.upper! - a.uncertainty!.expanded / a.limits.upper!,
    )[0];
  const example = widest
    ? ` The widest against its limit here: ${widest.title} of ${widest.of}, U = ${figureText(widest.uncertainty!.expanded, widest.unit, widest.shown, 2)}, allowed ${widest.limits.text}.`
    : '';
  return element(
    'p',
    {},
    `Each value stands with its expanded uncertainty U = k · u, k = ${decision.coverageFactor}, where u combines the contributions that the budget of each finding lists (JCGM 100:2008). The budgets are in the run's page and in run.json.${example}`,
  );
}

function deviationList({
  deviations,
  safeState,
  ended,
  faults,
  follows,
  totals,
  rig,
}: RunRecord): Markup {
  const items = [
    ...deviations.map(({ kind, text }) => `${kind}: ${text}`),
    ...faults.map(({ fault, size }) => `seeded fault: ${fault}, size ${size}`),
    ...(deviations.some(({ kind }) => kind === 'simulated instruments') ? [] : simulatedText(rig)),
    ...follows.map(({ id, how }) => `this run ${how} ${id}`),
    ...(ended === 'complete' ? [] : [`the run ended ${ended}`]),
    `safe state ${safeState.confirmed ? 'confirmed' : 'NOT confirmed'}: ${safeState.detail}`,
    `${timeText(totals.lampTime)} of lamp time`,
  ];
  return element(
    'ul',
    {},
    items.map((item) => element('li', {}, item)),
  );
}

/** ISO/IEC 17025:2017 7.8.2.1 n: simulated instruments by name, where the run's own deviations only say `all`. */
function simulatedText({ instruments }: RunRecord['rig']): string[] {
  const names = instruments.filter(({ simulated }) => simulated).map(({ name }) => name);
  return names.length > 0 ? [`simulated instruments: ${names.join(', ')}`] : [];
}
