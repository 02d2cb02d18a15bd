import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { pageScript, pageScriptHash, pageStyle, pageStyleHash } from '../../html/assets.ts';
import { element, escapeHtml, type Markup, toHtml } from '../../html/markup.ts';
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
 * its tolerance ruler; evidence lies in the page as data and is drawn when a claim is opened. The policy in the head
 * admits this page's own script and style (by hash) and nothing more, so text of strangers can only ever be text.
 */
export function renderPage({ record, traces }: PageSource): string {
  const title = `${record.lamp.name}, build ${record.lamp.build}: ${record.verdict}`;
  const policy = `default-src 'none'; script-src 'sha256-${pageScriptHash}'; style-src 'sha256-${pageStyleHash}'; img-src data:; base-uri 'none'; form-action 'none'`;
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    '<meta name="referrer" content="no-referrer">',
    '<link rel="icon" href="data:,">',
    `<title>${escapeHtml(title)}</title>`,
    `<style>${pageStyle}</style>`,
    '</head>',
    '<body>',
    toHtml(pageBody(record)),
    dataScript('run', { record: shownRecord(record) }),
    dataScript('evidence', storedEvidence(record, traces)),
    `<script>${pageScript}</script>`,
    '</body>',
    '</html>',
    '',
  ].join('\n');
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

/** `<` is written as an escape, so that no text can end the element. */
function dataScript(id: string, data: unknown): string {
  const json = JSON.stringify(data)
    .replace(/</g, '\\u003c')
    .replace(/\u2028|\u2029/g, ' ');
  return `<script type="application/json" id="${id}">${json}</script>`;
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
