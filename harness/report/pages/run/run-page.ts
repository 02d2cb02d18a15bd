import { benchBrokenText } from '../../../record/bench-after.ts';
import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { pageStyle, runPageScript } from '../../html/assets.js';
import { renderDocument } from '../../html/document.ts';
import { type Html, html } from '../../html/html.ts';
import type { Deflate } from '../../html/packed.ts';
import { capital, counted } from '../../words/prose.ts';
import { claimLine } from './claim-line.ts';
import { runFoot } from './run-foot.ts';
import { filterBar, runHead } from './run-head.ts';
import { storedEvidence } from './stored-evidence.ts';
import type { Trace } from './trace.ts';

export interface PageSource {
  readonly record: RunRecord;
  readonly traces: readonly Trace[];
  /** What a reader has to know before any figure, such as that the stored files were altered. */
  readonly warning?: string | null;
  /** Packs the page's data; fflate's where nothing is given. */
  readonly deflate?: Deflate;
}

/**
 * The run as one HTML file that needs nothing else: no network, no second file. Every claim is a line of plain HTML with
 * its tolerance ruler; evidence lies in the page as data and is drawn when a claim is opened.
 */
export function renderPage({ record, traces, warning = null, deflate }: PageSource): string {
  return renderDocument({
    title: `${record.lamp.name}, build ${record.lamp.build}: ${record.verdict}`,
    styles: [pageStyle],
    body: pageBody(record, warning),
    data: { run: { record: shownRecord(record) }, evidence: storedEvidence(record, traces) },
    deflate,
    script: runPageScript,
  });
}

function pageBody(record: RunRecord, warning: string | null): Html {
  const broken = benchBrokenText(record);
  return html`
    <a class="skip" href="#claims">Skip to the claims</a>
    <div class="sheet">
      ${warning !== null && html`<p class="warned" role="alert"><b>▲ ${capital(warning)}.</b></p>`}
      ${broken !== null && html`<p class="warned" role="alert"><b>▲ ${capital(broken)}.</b></p>`}
      ${runHead(record)}
      ${filterBar(record)}
      <main id="claims" tabindex="-1">${folders(record.specs)}</main>
      <p class="none" hidden>No claim matches.</p>
      ${runFoot(record)}
    </div>`;
}

function folders(specs: readonly SpecRecord[]): Html[] {
  const names = [...new Set(specs.map((spec) => spec.folder))];
  return names.map((folder) => {
    const own = specs.filter((spec) => spec.folder === folder);
    return html`
      <section class="folder">
        <h2>${capital(folder || 'specs')}<span class="count">${counted(own.length, 'claim')}</span></h2>
        ${own.map((spec) => claimLine(spec, specs.indexOf(spec)))}
      </section>`;
  });
}

/** Without the charts, which come apart, and without the commanded light, which serves later judgements alone. */
function shownRecord(record: RunRecord): RunRecord {
  return {
    ...record,
    specs: record.specs.map((spec) => ({
      ...spec,
      conditions: spec.conditions.map(({ commanded: _, ...condition }) => ({
        ...condition,
        findings: condition.findings.map((finding) => ({
          ...finding,
          evidence: { charts: [], notes: finding.evidence.notes },
        })),
      })),
    })),
  };
}
