import type { Traced, TracedClaim, TracedRequirement } from '../../../record/traced.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { bulletList, scrolling, table } from '../../html/table.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { capital, counted, unbroken, unitsKept } from '../../words/prose.ts';
import { gapsOf, nearestText, nearestWords, runText } from '../../words/trace-words.ts';

/** What stands in the page that holds the matrix. */
export interface MatrixPlace {
  /** Where a claim of it is, if it is in this page. */
  readonly hrefOf: (claim: TracedClaim) => string | null;
  /** What lists the requirements. */
  readonly listed: string;
}

/** Names that stand open in a sentence. */
const openNames = 8;

/** What is missing first, then a row for each claim of each requirement; those of which nothing ran are folded. */
export function traceMatrix(traced: Traced, place: MatrixPlace): Content {
  const covered = traced.requirements.filter(({ claims }) => claims.length > 0);
  const ran = covered.filter(({ verdict }) => verdict !== null);
  const left = covered.filter(({ verdict }) => verdict === null);
  return [
    gapList(traced, place),
    ran.length > 0 && matrix(ran, place),
    left.length > 0 &&
      html`<details class="folded"><summary>Show ${counted(left.length, 'requirement')} of which no claim ran</summary>${matrix(left, place)}</details>`,
  ];
}

function gapList(traced: Traced, { listed }: MatrixPlace): Html | null {
  const gaps = gapsOf(traced, listed).map(({ text, names }): Content => {
    const sentence = `▲ ${capital(text)}`;
    if (names.length === 0) return /[.!?]$/.test(text) ? sentence : `${sentence}.`;
    const all = names.join(', ');
    return names.length > openNames
      ? html`<details class="folded"><summary>${sentence}</summary>${all}.</details>`
      : `${sentence}: ${all}.`;
  });
  return gaps.length > 0 ? bulletList(gaps, 'remarks gaps') : null;
}

function matrix(requirements: readonly TracedRequirement[], place: MatrixPlace): Html {
  const headings = ['requirement', 'claim', 'verdict', 'margin of the nearest finding', 'run'];
  const rows = requirements.flatMap((requirement) => requirementRows(requirement, place));
  return html`<div class="matrix">${scrolling('requirements and claims', table(headings, rows))}</div>`;
}

function requirementRows(
  { id, text, verdict, claims }: TracedRequirement,
  place: MatrixPlace,
): Html[] {
  // What one claim says of a requirement, its own row tells.
  const whole = claims.length > 1 && verdict !== null && verdictLabel(verdict);
  const head = html`<th scope="rowgroup" rowspan="${claims.length}"><b>${id}</b>${text && html`<p>${unitsKept(text)}</p>`}${whole}</th>`;
  return claims.map((claim, k) => html`<tr>${k === 0 && head}${claimCells(claim, place)}</tr>`);
}

function claimCells(claim: TracedClaim, { hrefOf }: MatrixPlace): Html {
  const { spec, result } = claim;
  const href = hrefOf(claim);
  const name = href === null ? spec : html`<a href="${href}">${spec}</a>`;
  return html`
    <td>${name}</td>
    <td>${verdictLabel(result?.spec.verdict ?? 'not run')}</td>
    <td>${result && [html`<b>${unbroken(nearestText(result.spec))} </b>`, html`<small>${unitsKept(nearestWords(result.spec))}</small>`]}</td>
    <td>${result ? runText(claim) : 'no run'}</td>`;
}
