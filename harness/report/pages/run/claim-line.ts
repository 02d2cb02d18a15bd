import type { SpecRecord } from '../../../record/run-record.ts';
import { element, type Markup } from '../../html/markup.ts';
import { toleranceRuler } from '../../pictures/tolerance-ruler.ts';
import { verdictLabel } from '../../pictures/verdict-shape.ts';
import { valueText } from '../../words/value-text.ts';
import {
  claimReason,
  findingsWorstFirst,
  type Placed,
  placeText,
  whyText,
} from '../../words/worst-first.ts';

/** One claim as one line; its evidence is put into the empty part when it is opened. */
export function claimLine(spec: SpecRecord, index: number): Markup {
  const worst = findingsWorstFirst(spec)[0];
  return element(
    'details',
    { class: `claim ${spec.verdict.replace(' ', '-')}`, id: claimId(spec), 'data-claim': index },
    element(
      'summary',
      {},
      verdictLabel(spec.verdict),
      element(
        'div',
        { class: 'words' },
        element('h3', {}, spec.claim),
        element('p', { class: 'worst' }, worst ? worstWords(spec, worst) : claimReason(spec)),
      ),
      element('div', { class: 'gauge' }, worst ? toleranceRuler(worst.finding) : null),
    ),
    element('div', { class: 'evidence' }),
  );
}

/** Figures keep to one line together with their unit, unless they are a sentence. */
export function unbroken(text: string): string {
  return text.length <= 26 && /\d/.test(text) ? text.replaceAll(' ', '\u00a0') : text;
}

export function claimId(spec: SpecRecord): string {
  return `claim-${spec.spec}`;
}

/** What decides the claim: the finding with its figures, or its reason where it did not pass. */
function worstWords(spec: SpecRecord, worst: Placed) {
  const { finding } = worst;
  const why = whyText(finding);
  const count = spec.conditions.reduce((sum, condition) => sum + condition.findings.length, 0);
  return [
    count > 1 ? (spec.verdict === 'pass' ? 'closest: ' : 'worst: ') : null,
    element('em', {}, placeText(worst)),
    `, ${finding.title} `,
    element('b', {}, unbroken(valueText(finding))),
    `, allowed ${unbroken(finding.limits.text)}`,
    why ? element('span', { class: 'why' }, why) : null,
  ];
}
