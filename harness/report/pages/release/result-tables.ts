import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { type Html, html } from '../../html/html.ts';
import { table } from '../../html/table.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { placeText } from '../../words/finding-words.ts';
import { unbroken, unitsKept } from '../../words/prose.ts';
import { valueText } from '../../words/value-text.ts';
import { claimReason, type Placed } from '../../words/worst-first.ts';

/** Each claim with its file and hash, and each of its findings in a row. */
export function resultTables({ specs }: RunRecord): Html[] {
  return specs.map(claimResults);
}

/** Tables with no more rows stand on one page whole. */
const mostOnOnePage = 16;

function claimResults(spec: SpecRecord): Html {
  const { verdict, claim, file, digest, conditions } = spec;
  const placed = conditions.flatMap((condition) =>
    condition.findings.map((finding) => ({ condition, finding })),
  );
  const results =
    placed.length > 0
      ? table(['of', 'quantity', 'value ± U', 'allowed', 'verdict'], placed.map(resultRow))
      : html`<p>${claimReason(spec) ?? 'No findings.'}</p>`;
  return html`
    <article class="result${placed.length <= mostOnOnePage && ' short'}">
      <h3>${verdictLabel(verdict)} ${claim}</h3>
      <p class="facts-line">${file} <code>sha256 ${digest}</code></p>
      ${results}
    </article>`;
}

function resultRow(placed: Placed): Html {
  const { finding } = placed;
  return html`
    <tr>
      <td>${unitsKept(placeText(placed))}</td>
      <td>${finding.title}</td>
      <td${finding.outcome.measured && html` class="figure-cell"`}>${unbroken(valueText(finding))}</td>
      <td>${unitsKept(finding.limits.text)}</td>
      <td>${verdictLabel(finding.verdict)}</td>
    </tr>`;
}
