import { plainLine } from '../../../files/plain-text.ts';
import { type Html, html } from '../../html/html.ts';
import { dateText } from '../../words/prose.ts';
import { runHref } from '../archive/run-list.ts';
import type { SubmissionState } from './lab-state.ts';
import { isOver, submissionHref, submissionName } from './lab-words.ts';
import { shardProgress } from './progress.ts';
import { submissionLabel } from './standing.ts';

/** Submissions that have not ended: what is under way, then what waits, the longest first. */
export function queueList(submissions: readonly SubmissionState[]): Html {
  const open = submissions.filter((one) => !isOver(one)).toReversed();
  const queue = [
    ...open.filter(({ state }) => state !== 'queued'),
    ...open.filter(({ state }) => state === 'queued'),
  ];
  return list(queue, 'Nothing waits.');
}

/** Submissions that have ended, newest first. */
export function endedList(submissions: readonly SubmissionState[]): Html {
  return list(submissions.filter(isOver), 'Nothing has ended yet.');
}

function list(submissions: readonly SubmissionState[], none: string): Html {
  if (submissions.length === 0) return html`<p class="aside">${none}</p>`;
  return html`<ul class="rows">${submissions.map(submissionRow)}</ul>`;
}

function submissionRow(submission: SubmissionState): Html {
  const { id, submittedAt, by, tags, why, shards, run } = submission;
  const facts = [
    `submitted ${dateText(submittedAt)} by ${by}`,
    tags.length > 0 ? `tags ${tags.join(', ')}` : 'all claims',
    `submission ${id}`,
  ];
  return html`
    <li class="row" data-key="${id}">
      <div class="margin">${submissionLabel(submission)}</div>
      <div>
        <a class="name" href="${submissionHref(id)}">${plainLine(submissionName(submission))}</a>
        <p class="aside">${plainLine(facts.join('; '))}</p>
        ${why !== null && html`<p>${plainLine(why)}</p>`}
        ${!isOver(submission) && shardProgress(shards)}
        ${run !== null && html`<p><a href="${runHref(run)}">Open the run</a></p>`}
      </div>
    </li>`;
}
