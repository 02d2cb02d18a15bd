import { artificialTexts, simulatedInstruments } from '../../../record/artificial.ts';
import { benchBrokenText } from '../../../record/bench-after.ts';
import type { Finding, RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { pageStyle, releaseReportStyle } from '../../html/assets.js';
import { renderDocument } from '../../html/document.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { bulletList, factList, table } from '../../html/table.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { capital, counted, dateText } from '../../words/prose.ts';
import { againSentence } from '../../words/repeated-words.ts';
import { figureText, timeText } from '../../words/value-text.ts';
import { verdicts } from '../../words/verdict-words.ts';
import { benchAfterSection } from '../run/bench-after-section.ts';
import {
  cautions,
  decisionWords,
  identityList,
  instrumentTable,
  safeStateText,
} from '../run/run-foot.ts';
import { holdText } from '../run/run-head.ts';
import { runRequirements } from '../run/run-requirements.ts';
import { authorisation, type Signature } from './authorisation.ts';
import { diagnosisTable } from './diagnosis-table.ts';
import { exceptions } from './exceptions.ts';
import { nearestMisses } from './nearest-misses.ts';
import { resultTables } from './result-tables.ts';

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
  /** What a policy decides of the signatures, and what it misses; null where none was asked. */
  readonly policy?: {
    readonly name: string;
    readonly version: number;
    readonly decision: string;
    readonly unmet: readonly string[];
  } | null;
  /** What a reader has to know before any figure, such as that the stored files were altered. */
  readonly warning?: string | null;
}

/**
 * The run as a report to be printed and signed: HTML without script. It carries the items that ISO/IEC 17025:2017
 * 7.8.2.1 lists for a report, as far as a run knows them, and conformity statements with rule and k (7.8.6).
 */
export function renderReleaseReport(source: ReleaseReportSource): string {
  return renderDocument({
    title: `Test report ${source.record.id}`,
    styles: [pageStyle, releaseReportStyle],
    body: reportBody(source),
  });
}

function reportBody(source: ReleaseReportSource): Html {
  const { record, signatures, doubts, policy = null } = source;
  return html`
    <div class="report">
      ${cover(source)}
      ${section('Summary', summaryTable(record))}
      ${diagnosisTable(record)}
      ${section('Requirements', runRequirements(record, false))}
      ${section('Exceptions', exceptions(record, signatures))}
      ${section('Nearest misses', nearestMisses(record))}
      ${section('Results', resultTables(record))}
      ${section('Uncertainty and decision rule', [uncertaintyWords(record), decisionWords(record)])}
      ${section('Instruments and calibration', instrumentTable(record))}
      ${benchAfterSection(record)}
      ${section('Deviations', deviationList(record))}
      ${section('Identification', identityList(record))}
      ${section('Cautions', cautions())}
      ${section('Authorisation', [
        authorisation(signatures, doubts),
        policy && bulletList(policy.unmet.map((text) => `Policy: ${text}`)),
      ])}
      <p class="end">End of report ${record.id}</p>
    </div>`;
}

function section(title: string, content: Content): Html {
  return html`<section><h2>${title}</h2>${content}</section>`;
}

function cover(source: ReleaseReportSource): Html {
  const { record, warning = null } = source;
  const { lamp, startedAt, specs, verdict } = record;
  const broken = benchBrokenText(record);
  return html`
    <header class="cover">
      <p class="maker">Test report</p>
      <h1>${lamp.name}, build ${lamp.build}</h1>
      <p class="where">${dateText(startedAt)}</p>
      ${warning !== null && html`<p class="warned"><b>▲ ${capital(warning)}.</b></p>`}
      ${broken !== null && html`<p class="warned"><b>▲ ${capital(broken)}.</b></p>`}
      <p class="decision"><b>${decisionText(source)}</b> ${holdText(specs)} The run as a whole: ${verdict}. ${waiverText(source)}</p>
      ${artificialNote(record)}
      ${factList(coverFacts(source))}
      <p class="scope">The results relate only to the item tested. The figures are pre-compliance: they never certify. This report may be passed on only as a whole.</p>
    </header>`;
}

/** Before any figure: a reader must not take a simulation, or a lamp with a deliberate defect, for the lamp that is sold. */
function artificialNote(record: RunRecord): Html | null {
  const texts = artificialTexts(record);
  if (texts.length === 0) return null;
  const seeded =
    record.faults.length > 0 && ' A run with a seeded fault says nothing about a lamp.';
  return html`<p class="artificial"><b>${capital(texts.join('; '))}.</b>${seeded}</p>`;
}

function coverFacts({ record, contentHash, issuedAt }: ReleaseReportSource): [string, string][] {
  const { lamp, rig, startedAt, endedAt, harness, operator, follows, specs } = record;
  return [
    ['report', record.id],
    ...follows.map(({ id, how }): [string, string] => [how, `run ${id}`]),
    [
      'content',
      contentHash ? `manifest sha256 ${contentHash}` : 'not sealed: the run is unfinished',
    ],
    ['place', rig.place],
    ['manufacturer', lamp.maker],
    ['item tested', `${lamp.name}, serial ${lamp.serial}`],
    ['firmware', firmwareText(lamp)],
    [
      'method',
      `Evenfall ${harness.version}, ${counted(specs.length, 'spec')} (files and hashes under Results)`,
    ],
    ...(operator ? [['operator', operator] satisfies [string, string]] : []),
    ['performed', `${startedAt} to ${endedAt ?? 'not ended'}`],
    ['issued', issuedAt],
    [
      'conditions',
      `ambient ${rig.ambient} °C, ${rig.simulated ? 'simulated instruments' : rig.name}`,
    ],
  ];
}

function firmwareText({ build, firmware }: RunRecord['lamp']): string {
  const { name, kind, digest } = firmware;
  return `build ${build}, ${name} (${kind})${digest ? `, sha256 ${digest}` : ''}`;
}

function decisionText({ signatures, doubts, warning, policy }: ReleaseReportSource): string {
  if (doubts.length > 0 || warning) return 'Decision: not verified, see Authorisation.';
  if (policy) {
    const { name, version, decision, unmet } = policy;
    const misses = unmet.length > 0 ? ' What it misses stands under Authorisation.' : '';
    return `Decision: ${decision}, by the policy ${name}, version ${version}.${misses}`;
  }
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

function summaryTable({ specs }: RunRecord): Html {
  const folders = [...new Set(specs.map(({ folder }) => folder))];
  const rows = folders.map((folder) =>
    summaryRow(
      folder,
      specs.filter((spec) => spec.folder === folder),
    ),
  );
  const headings = ['claims', ...verdicts.map(verdictLabel)];
  return html`<div class="counts">${table(headings, rows, summaryRow('all', specs))}</div>`;
}

function summaryRow(name: string, specs: readonly SpecRecord[]): Html {
  const counts = verdicts.map(
    (verdict) => specs.filter((spec) => spec.verdict === verdict).length || '',
  );
  return html`<tr><th scope="row">${name}</th>${counts.map((count) => html`<td>${count}</td>`)}</tr>`;
}

function uncertaintyWords({ decision, specs }: RunRecord): Html {
  const again = againSentence({ decision, specs });
  const findings = specs.flatMap((spec) => spec.conditions.flatMap(({ findings }) => findings));
  const [widest] = findings.flatMap(againstLimit).sort((a, b) => b.share - a.share);
  const words = `Each value stands with its expanded uncertainty U = k · u, k = ${decision.coverageFactor}, where u combines the contributions that the budget of each finding lists (JCGM 100:2008). The budgets are in the run's page and in run.json.${again === null ? '' : ` ${again}`}`;
  return html`<p>${words}${widest && ` ${widest.text}`}</p>`;
}

/** An uncertainty as a share of its upper limit, where it has one. */
function againstLimit(finding: Finding): { readonly share: number; readonly text: string }[] {
  const { title, of, uncertainty, limits, unit, shown } = finding;
  if (!uncertainty || limits.upper === null || limits.upper <= 0) return [];
  const expanded = figureText(uncertainty.expanded, unit, shown, 2);
  const text = `The widest against its limit here: ${title} of ${of}, U = ${expanded}, allowed ${limits.text}.`;
  return [{ share: uncertainty.expanded / limits.upper, text }];
}

function deviationList(record: RunRecord): Html {
  const { deviations, safeState, ended, faults, follows, totals, rig } = record;
  return bulletList([
    ...deviations.map(({ kind, text }) => `${kind}: ${text}`),
    ...faults.map(({ fault, size }) => `seeded fault: ${fault}, size ${size}`),
    ...(deviations.some(({ kind }) => kind === 'simulated instruments') ? [] : simulatedText(rig)),
    ...follows.map(({ id, how }) => `this run ${how} ${id}`),
    ...(ended === 'complete' ? [] : [`the run ended ${ended}`]),
    `safe state ${safeStateText(safeState)}`,
    `${timeText(totals.lampTime)} of lamp time`,
  ]);
}

/** ISO/IEC 17025:2017 7.8.2.1 n: simulated instruments by name, where the run's own deviations only say `all`. */
function simulatedText(rig: RunRecord['rig']): string[] {
  const names = simulatedInstruments(rig);
  return names.length > 0 ? [`simulated instruments: ${names.join(', ')}`] : [];
}
