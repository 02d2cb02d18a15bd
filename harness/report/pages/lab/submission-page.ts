import { plainLine } from '../../../files/plain-text.ts';
import { type Html, html } from '../../html/html.ts';
import { factList, scrolling, table } from '../../html/table.ts';
import { dateText } from '../../words/prose.ts';
import { timeText } from '../../words/value-text.ts';
import { runHref } from '../archive/run-list.ts';
import type { ShardState, SubmissionState } from './lab-state.ts';
import { submissionHref, submissionName } from './lab-words.ts';
import { livePart } from './live-part.ts';
import { shardProgress } from './progress.ts';
import { shardLabel, submissionLabel } from './standing.ts';

/** One submission with its shards. It reads without a script; with it, it follows the lab. */
export function submissionPage(submission: SubmissionState): Html {
  return livePart({ at: null, submission: submission.id }, submissionSections(submission));
}

/** The part of it that follows the lab. */
export function submissionSections(submission: SubmissionState): Html {
  const { why, shards } = submission;
  return html`
    <p class="lead">${submissionLabel(submission)} <strong>${plainLine(submissionName(submission))}</strong></p>
    ${why !== null && html`<p>${plainLine(why)}</p>`}
    ${shardProgress(shards)}
    ${waysOn(submission)}
    <section><h2>Shards</h2>${shardTable(shards)}</section>
    <section><h2>Submission</h2>${factList(facts(submission))}</section>`;
}

function waysOn({ id, run }: SubmissionState): Html | null {
  if (run === null) return null;
  return html`
    <p class="ways">
      <a class="press" href="${runHref(run)}">Open the run</a>
      <a class="press" href="${submissionHref(id)}/junit.xml">JUnit</a>
    </p>`;
}

function shardTable(shards: readonly ShardState[]): Html {
  if (shards.length === 0) return html`<p class="aside">It is not split into shards yet.</p>`;
  const headings = ['shard', 'state', 'rig', 'attempts', 'conditions', 'expected rig time'];
  const rows = shards.map(shardRow);
  return html`<div class="stacked short">${scrolling('shards', table(headings, rows))}</div>`;
}

function shardRow(shard: ShardState): Html {
  const { number, rig, attempts, done, planned, rigTime } = shard;
  return html`
    <tr data-key="${number}">
      <th scope="row"><span class="shard-word">shard </span>${number}</th>
      <td data-name="state">${shardLabel(shard)}</td>
      <td data-name="rig">${rig === null ? 'none yet' : plainLine(rig)}</td>
      <td data-name="attempts">${attempts}</td>
      <td data-name="conditions">${done} of ${planned}</td>
      <td data-name="expected rig time">${timeText(rigTime)}</td>
    </tr>`;
}

function facts({ id, submittedAt, by, lamp, build, tags }: SubmissionState) {
  const claims =
    tags.length > 0 ? `with the ${tags.length === 1 ? 'tag' : 'tags'} ${tags.join(', ')}` : 'all';
  return [
    ['id', plainLine(id)],
    ['lamp', plainLine(lamp)],
    ['build', plainLine(build)],
    ['claims', plainLine(claims)],
    ['submitted', `${dateText(submittedAt)} by ${plainLine(by)}`],
  ] as const;
}
