import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { pageStyle, runPageScript } from '../../html/assets.js';
import { renderDocument } from '../../html/document.ts';
import { element, type Markup } from '../../html/markup.ts';
import { counted } from '../../text/summary.ts';
import { claimLine } from './claim-line.ts';
import { runFoot } from './run-foot.ts';
import { capital, filterBar, runHead } from './run-head.ts';
import { storedEvidence } from './stored-evidence.ts';
import type { Trace } from './trace.ts';

export interface PageSource {
  readonly record: RunRecord;
  readonly traces: readonly Trace[];
}

/**
 * The run as one HTML file that needs nothing else: no network, no second file. Every claim is a line of plain HTML with
 * its tolerance ruler; evidence lies in the page as data and is drawn when a claim is opened.
 */
export function renderPage({ record, traces }: PageSource): string {
  const title = `${record.lamp.name}, build ${record.lamp.build}: ${record.verdict}`;
  return renderDocument({
    title,
    styles: [pageStyle],
    body: pageBody(record),
    data: { run: { record: shownRecord(record) }, evidence: storedEvidence(record, traces) },
    script: runPageScript,
  });
}

function pageBody(record: RunRecord): Markup[] {
  return [
    element('a', { class: 'skip', href: '#claims' }, 'To the claims'),
    element(
      'div',
      { class: 'sheet' },
      runHead(record),
      filterBar(record),
      element('main', { id: 'claims', tabindex: -1 }, folders(record.specs)),
      element('p', { class: 'none', hidden: true }, 'No claim fits the search.'),
      runFoot(record),
    ),
  ];
}

function folders(specs: readonly SpecRecord[]): Markup[] {
  const names = [...new Set(specs.map((spec) => spec.folder))];
  return names.map((folder) => {
    const own = specs.filter((spec) => spec.folder === folder);
    return element(
      'section',
      { class: 'folder' },
      element(
        'h2',
        {},
        capital(folder || 'specs'),
        element('span', { class: 'count' }, counted(own.length, 'claim')),
      ),
      own.map((spec) => claimLine(spec, specs.indexOf(spec))),
    );
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
