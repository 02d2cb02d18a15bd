import {
  claimClass,
  type LiveProgress,
  liveClaimWords,
  liveOrder,
  progressWords,
} from '../pages/archive/live-run.ts';

/** The script of a run in progress: writes what the server tells of it into the page, and turns to the finished page. */
const bar = document.querySelector<HTMLProgressElement>('#progress');
const words = document.querySelector('#progress-words');
const milestone = document.querySelector('#milestone');
let quarters = 0;

if (milestone) {
  const source = new EventSource(`${location.pathname}/progress`);
  source.addEventListener('progress', (event) => show(JSON.parse(event.data)));
}

function show(progress: LiveProgress): void {
  const { state, done, planned, claims } = progress;
  if (state !== 'running') {
    // A browser that is told nothing more would ask again and again.
    location.reload();
    return;
  }
  if (words) words.textContent = progressWords(progress);
  if (bar && planned !== null) bar.value = Math.min(done, planned);
  for (const claim of claims) {
    const place = document.querySelector(`[data-claim="${CSS.escape(claim.spec)}"]`);
    if (!place || place.textContent === liveClaimWords(claim)) continue;
    place.textContent = liveClaimWords(claim);
    place.className = claimClass(claim);
  }
  for (const { spec, worst } of claims) {
    const place = document.querySelector(`[data-worst="${CSS.escape(spec)}"]`);
    if (place && place.textContent !== (worst ?? '')) place.textContent = worst ?? '';
  }
  arrange(claims);
  tell(done, planned);
}

/** Rows are moved only where their order changed: a moved row loses the focus and the reader's place. */
function arrange(claims: LiveProgress['claims']): void {
  const list = document.querySelector('ul.live');
  const rows = liveOrder(claims).flatMap(
    ({ spec }) => document.querySelector(`[data-claim="${CSS.escape(spec)}"]`)?.closest('li') ?? [],
  );
  for (const [place, row] of rows.entries())
    if (list && list.children[place] !== row) list.insertBefore(row, list.children[place] ?? null);
}

const milestones = [
  '',
  'A quarter is measured.',
  'Half is measured.',
  'Three quarters are measured.',
  'All is measured; the run is being sealed.',
];

/** Those who hear the page are told each quarter, not each condition. */
function tell(done: number, planned: number | null): void {
  const now = planned ? Math.floor((done / planned) * 4) : 0;
  if (now === quarters || !milestone) return;
  quarters = now;
  milestone.textContent = milestones[now] ?? '';
}
