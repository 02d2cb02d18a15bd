import type { SpecRecord } from '../../../record/run-record.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { toleranceRuler } from '../../pictures/tolerance-ruler.ts';
import { verdictClass, verdictLabel } from '../../pictures/verdict-shape.ts';
import { placeText, whyText } from '../../words/finding-words.ts';
import { marginText } from '../../words/margin-words.ts';
import { unbroken } from '../../words/prose.ts';
import { repeatedText } from '../../words/repeated-words.ts';
import { valueText } from '../../words/value-text.ts';
import { claimReason, findingsWorstFirst, type Placed } from '../../words/worst-first.ts';

/** One claim as one line; its evidence is put into the empty part when it is opened. */
export function claimLine(spec: SpecRecord, index: number): Html {
  const [worst] = findingsWorstFirst(spec);
  return html`
    <details class="claim ${verdictClass(spec.verdict)}" id="${claimId(spec)}" data-claim="${index}">
      <summary>
        ${verdictLabel(spec.verdict)}
        <div class="words">
          <h3>${spec.claim}</h3>
          <p class="worst">${worst ? worstWords(spec, worst) : claimReason(spec)}</p>
        </div>
        <div class="gauge">${worst && toleranceRuler(worst.finding)}</div>
      </summary>
      <div class="evidence"></div>
    </details>`;
}

export function claimId({ spec }: Pick<SpecRecord, 'spec'>): string {
  return `claim-${spec}`;
}

/** What decides the claim: the finding with its figures, or its reason where it did not pass. */
function worstWords(spec: SpecRecord, worst: Placed): Content {
  const why = whyText(worst.finding);
  const count = spec.conditions.reduce((sum, condition) => sum + condition.findings.length, 0);
  const rank = spec.verdict === 'pass' ? 'closest: ' : 'worst: ';
  const left = marginText(worst.finding);
  return [
    count > 1 && rank,
    findingWords(worst),
    left !== null && `; ${left}`,
    why && html`<span class="why">${why}</span>`,
  ];
}

/** A finding with its figures, the place and the value to be seen first. */
export function findingWords(placed: Placed): Html {
  const { finding } = placed;
  const repeated = repeatedText(finding);
  const how = repeated === null ? '' : ` (${repeated})`;
  const value = html`<b>${unbroken(valueText(finding))}</b>${how}`;
  const allowed = unbroken(finding.limits.text);
  return html`<em>${placeText(placed)}</em>, ${finding.title} ${value}, allowed ${allowed}`;
}
