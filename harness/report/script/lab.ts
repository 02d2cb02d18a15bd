import { labSections } from '../pages/lab/lab-front.ts';
import type { LabState } from '../pages/lab/lab-state.ts';
import { clockText, labNews, submissionNews } from '../pages/lab/lab-words.ts';
import { submissionSections } from '../pages/lab/submission-page.ts';
import { followEvents } from './follow-events.ts';
import { part } from './nodes.ts';
import { renew } from './renew.ts';

/** The script of the pages of a lab: renders them again from each state that the server tells, and says when it tells none. */
const age = part(document, '#age');
const news = part(document, '#news');
const live = part(document, '#live');
const own = live.dataset['submission'] ?? '';
let last: LabState | undefined;
let isLost = false;

followEvents('/lab/events', 'state', {
  told(data) {
    const state: LabState = JSON.parse(data);
    show(state);
    age.classList.remove('lost');
    age.textContent = `Live: as it was at ${clockText(state.at)}.`;
    tell(state);
    last = state;
    isLost = false;
  },
  lost() {
    isLost = true;
    age.classList.add('lost');
    const known = last ? ` Below is what it said at ${clockText(last.at)}.` : '';
    age.textContent = `▲ Not live: the server does not answer.${known} This page keeps trying.`;
    news.textContent = 'Not live: the server does not answer.';
  },
});

function show(state: LabState): void {
  if (own === '') renew(live, labSections(state));
  const submission = state.submissions.find(({ id }) => id === own);
  if (submission) renew(live, submissionSections(submission));
}

/** Those who hear the page are told what came about, and not every condition. */
function tell(state: LabState): void {
  const came = newsOf(state);
  if (came !== '') news.textContent = came;
  else if (isLost) news.textContent = 'Live again.';
}

function newsOf(state: LabState): string {
  if (!last) return '';
  if (own === '') return labNews(last, state);
  const [before, after] = [last, state].map(({ submissions }) =>
    submissions.find(({ id }) => id === own),
  );
  return before && after ? submissionNews(before, after) : '';
}
