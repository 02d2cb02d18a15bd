import { plainLine } from '../../../files/plain-text.ts';
import { type Html, html } from '../../html/html.ts';
import { scrolling, table } from '../../html/table.ts';
import { dateText } from '../../words/prose.ts';
import type { ScheduleState } from './lab-state.ts';

/** What is submitted by itself, and when. */
export function scheduleTable(schedules: readonly ScheduleState[]): Html {
  if (schedules.length === 0) return html`<p class="aside">Nothing is submitted by itself.</p>`;
  const headings = ['name', 'when', 'next', 'last', 'set up by'];
  const rows = schedules.map(scheduleRow);
  return html`<div class="stacked short">${scrolling('schedules', table(headings, rows))}</div>`;
}

function scheduleRow({ name, cron, zone, next, last, by, why }: ScheduleState): Html {
  return html`
    <tr data-key="${name}">
      <th scope="row">${plainLine(name)}</th>
      <td data-name="when"><code>${plainLine(cron)}</code> <span>${plainLine(zone)}</span></td>
      <td data-name="next">${next === null ? 'none' : dateText(next)}</td>
      <td data-name="last">${last === null ? 'not yet' : dateText(last)}${why !== null && html`: nothing was submitted: ${plainLine(why)}`}</td>
      <td data-name="set up by">${plainLine(by)}</td>
    </tr>`;
}
