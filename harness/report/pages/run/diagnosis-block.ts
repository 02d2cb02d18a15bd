import type { LikelyCause } from '../../../diagnose/causes/likely-causes.ts';
import type { Diagnosis } from '../../../diagnose/diagnose.ts';
import type { Explanation } from '../../../diagnose/explain.ts';
import type { RunRecord, SpecRecord } from '../../../record/run-record.ts';
import { type Html, html } from '../../html/html.ts';
import {
  causesHeading,
  causeTexts,
  diagnosisHeading,
  explanationText,
} from '../../words/diagnosis-words.ts';
import { findingFigures } from '../../words/finding-words.ts';
import { counted } from '../../words/prose.ts';
import { findingsWorstFirst } from '../../words/worst-first.ts';
import { claimId } from './claim-line.ts';

/** Findings that lie folded under a row; the claims have them all. */
const mostFolded = 24;

/** What the failures have in common, a row each, with its findings folded under it. */
export function diagnosisBlock(diagnosis: Diagnosis, record: RunRecord): Html {
  const { explanations, causes } = diagnosis;
  return html`
    <section class="diagnosis" aria-label="What the failures have in common">
      <h2>${diagnosisHeading(diagnosis)}</h2>
      ${explanations.map((explanation) => explanationRow(explanation, record))}
      ${causes.length > 0 && causeList(causes)}
    </section>`;
}

/** Likely causes, the best first, each with what one would see of it. */
export function causeList(causes: readonly LikelyCause[]): Html {
  const items = causes.map((cause) => {
    const [name, about] = causeTexts(cause);
    return html`<li><b>${name}.</b> ${about}</li>`;
  });
  return html`<p>${causesHeading}</p><ul class="causes">${items}</ul>`;
}

function explanationRow(explanation: Explanation, { specs }: RunRecord): Html {
  const { findings } = explanation;
  const names = new Set(findings.map(({ spec }) => spec));
  const claims = specs.filter(({ spec }) => names.has(spec));
  const left = findings.length - mostFolded;
  return html`
    <details>
      <summary><span class="count">${findings.length}</span><span>${explanationText(explanation)}.</span></summary>
      ${claims.map((spec) => foldedClaim(spec, explanation))}
      ${left > 0 && html`<p>${counted(left, 'more finding')} in the claims below.</p>`}
    </details>`;
}

function foldedClaim(spec: SpecRecord, { findings }: Explanation): Html {
  const own = new Set(findings.slice(0, mostFolded).map(({ finding }) => finding));
  const items = findingsWorstFirst(spec)
    .filter(({ finding }) => own.has(finding))
    .map((placed) => html`<li>${findingFigures(placed)}</li>`);
  return html`<p><a href="#${claimId(spec)}">${spec.claim}</a></p><ul>${items}</ul>`;
}
