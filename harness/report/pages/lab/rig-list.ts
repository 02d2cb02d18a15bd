import { plainLine } from '../../../files/plain-text.ts';
import { type Content, type Html, html } from '../../html/html.ts';
import { bulletList } from '../../html/table.ts';
import type { RigState, SubmissionState } from './lab-state.ts';
import { calibrationNotes, heardText, submissionHref, submissionName } from './lab-words.ts';
import { rigLabel } from './standing.ts';

/** What each rig does now, and what somebody has to see to. */
export function rigList(rigs: readonly RigState[], submissions: readonly SubmissionState[]): Html {
  if (rigs.length === 0) return html`<p class="aside">No rig has come forward yet.</p>`;
  return html`<ul class="rows">${rigs.map((rig) => rigRow(rig, submissions))}</ul>`;
}

function rigRow(rig: RigState, submissions: readonly SubmissionState[]): Html {
  const { name, lamps, simulated, place } = rig;
  const facts = [place, lamps.length > 0 ? `for ${lamps.join(', ')}` : '', heardText(rig)];
  return html`
    <li class="row" data-key="${name}">
      <div class="margin">${rigLabel(rig)}</div>
      <div>
        <h3 class="name">${plainLine(name)}${simulated && html` <span class="artificial">simulated</span>`}</h3>
        <p class="aside">${plainLine(facts.filter(Boolean).join('; '))}</p>
        ${nowLine(rig, submissions)}
        ${bulletList(calibrationNotes(rig).map(remark), 'remarks')}
        ${declineLines(rig)}
      </div>
    </li>`;
}

/** What is marked must not be overlooked. */
function remark(note: string): Html {
  const text = plainLine(note);
  return note.startsWith('▲') ? html`<b>${text}</b>` : html`${text}`;
}

/** What the rig was doing when it was heard last. */
function nowLine({ now, isHeard }: RigState, submissions: readonly SubmissionState[]): Html | null {
  if (!now) return null;
  const { submission, shard, condition } = now;
  const known = submissions.find(({ id }) => id === submission);
  const name = plainLine(known ? submissionName(known) : submission);
  return html`
    <p>${isHeard ? 'Runs' : 'Was running'} shard ${shard} of <a href="${submissionHref(submission)}">${name}</a>${condition !== null && plainLine(`: ${condition}`)}.</p>`;
}

function declineLines({ declines }: RigState): Content {
  const [newest, ...older] = declines.map(plainLine);
  if (newest === undefined) return null;
  return [
    html`<p>Did not take what waits: ${newest}</p>`,
    older.length > 0 &&
      html`<details class="folded"><summary>Earlier reasons (${older.length})</summary>${bulletList(older, 'plain')}</details>`,
  ];
}
