import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { type Content, element, type Markup } from '../../html/markup.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { valueText } from '../../words/value-text.ts';
import { claimReason, type Placed, placeText } from '../../words/worst-first.ts';
import { unbroken } from '../run/claim-line.ts';

/** Each claim with its file and hash, and each of its findings in a row. */
export function resultTables({ specs }: RunRecord): Content {
  return specs.map((spec) =>
    element(
      'article',
      { class: isShort(spec) ? 'result short' : 'result' },
      element('h3', {}, verdictLabel(spec.verdict), ` ${spec.claim}`),
      element(
        'p',
        { class: 'facts-line' },
        `${spec.file} `,
        element('code', {}, `sha256 ${spec.digest}`),
      ),
      spec.conditions.some(({ findings }) => findings.length > 0)
        ? resultTable(spec)
        : element('p', {}, claimReason(spec) ?? 'No findings.'),
    ),
  );
}

/** Short enough to stand on one page whole. */
function isShort({ conditions }: SpecRecord): boolean {
  return conditions.reduce((sum, { findings }) => sum + findings.length, 0) <= 16;
}

function resultTable(spec: SpecRecord): Markup {
  const rows = spec.conditions.flatMap((condition) =>
    condition.findings.map((finding) => resultRow({ condition, finding })),
  );
  return element(
    'table',
    {},
    element(
      'thead',
      {},
      element(
        'tr',
        {},
        ['of', 'quantity', 'value ± U', 'allowed', 'verdict'].map((head) =>
          element('th', { scope: 'col' }, head),
        ),
      ),
    ),
    element('tbody', {}, rows),
  );
}

function resultRow(placed: Placed): Markup {
  const { finding } = placed;
  const { outcome } = finding;
  const cells: Content[] = [
    withUnits(placeText(placed)),
    finding.title,
    unbroken(valueText(finding)),
    withUnits(finding.limits.text),
    verdictLabel(finding.verdict),
  ];
  return element(
    'tr',
    {},
    cells.map((cell, k) =>
      element('td', { class: k === 2 && outcome.measured && 'figure-cell' }, cell),
    ),
  );
}

/** `100 %` stays on one line. */
function withUnits(text: string): string {
  return text.replace(/(\d) (?=\S)/g, '$1\u00a0');
}
