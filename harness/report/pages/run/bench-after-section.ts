import { benchesAfter } from '../../../record/bench-after.ts';
import type { BenchAfter } from '../../../record/rig-record.ts';
import type { RunRecord } from '../../../record/run-record.ts';
import { type Html, html } from '../../html/html.ts';
import { scrolling, table } from '../../html/table.ts';
import { dateText } from '../../words/prose.ts';
import { standardChartSection } from './standard-section.ts';

/** What the benches of a run were like after the last claim; null where no rig file asks. */
export function benchAfterSection(record: RunRecord): Html | null {
  const benches = benchesAfter(record);
  if (benches.length === 0) return null;
  return html`
    <section class="bench-after">
      <h2>The bench after the last claim</h2>
      ${benches.map(({ rig, after }) => html`<p>${stateText(rig, after)}</p>${checkTable(rig, after)}`)}
    </section>
    ${benches.map(({ after }) => after.standard && standardChartSection(after.standard, 'Check standard after the last claim'))}`;
}

function stateText(rig: string, { state, at, why }: BenchAfter): string {
  const when = at === undefined ? '' : `, checked on ${dateText(at)}`;
  if (state === 'good') return `${rig}${when}: good.`;
  if (state === 'broken')
    return `${rig}${when}: not good. What was measured since the last good look is not proved.`;
  const not = state === 'failed' ? 'could not be checked to the end' : 'was not checked';
  return `${rig} ${not}: ${why ?? 'no reason given'}.`;
}

const words = { good: 'good', noted: 'noted', broken: 'not good' } as const;

function checkTable(rig: string, { checks }: BenchAfter): Html | null {
  if (checks.length === 0) return null;
  const rows = checks.map(
    ({ check, result, text }) => html`
      <tr>
        <th scope="row">${check}</th>
        <td${result !== 'good' && html` class="attention"`} data-name="result">${words[result]}</td>
        <td data-name="found">${text}</td>
      </tr>`,
  );
  const label = `What was checked on ${rig} after the last claim`;
  return html`<div class="instruments">${scrolling(label, table(['check', 'result', 'found and allowed'], rows))}</div>`;
}
