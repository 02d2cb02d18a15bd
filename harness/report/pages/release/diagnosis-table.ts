import { diagnose } from '../../../diagnose/diagnose.ts';
import type { RunRecord } from '../../../record/run-record.ts';
import { type Html, html } from '../../html/html.ts';
import { row, table } from '../../html/table.ts';
import { explanationText } from '../../words/diagnosis-words.ts';
import { causeList } from '../run/diagnosis-block.ts';

/** What the failures have in common, a row each, with the claims that it is about; nothing where none failed. */
export function diagnosisTable(record: RunRecord): Html | null {
  const diagnosis = diagnose(record);
  if (!diagnosis) return null;
  const rows = diagnosis.explanations.map((explanation) => {
    const claims = [...new Set(explanation.findings.map(({ spec }) => spec))];
    return row([
      explanation.findings.length,
      `${explanationText(explanation)}.`,
      claims.join(', '),
    ]);
  });
  const { causes } = diagnosis;
  return html`
    <section>
      <h2>Diagnosis</h2>
      ${table(['findings', 'in common', 'claims'], rows)}
      ${causes.length > 0 && causeList(causes)}
    </section>`;
}
