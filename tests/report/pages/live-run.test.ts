import { expect, test } from 'vitest';
import { liveRun } from '../../../harness/report/pages/archive/live-run.ts';

const claims = [
  { spec: 'beside', claim: 'Mains.', done: 0, verdict: 'not applicable' },
  { spec: 'later', claim: 'Later.', done: 0, verdict: 'not run' },
  { spec: 'good', claim: 'Good.', done: 2, verdict: 'pass' },
  { spec: 'bad', claim: 'Bad.', done: 1, verdict: 'fail' },
] as const;

const page = liveRun({ state: 'running', done: 3, planned: 4, claims }, { resume: '' }).toString();

test('what fails stands first, then what has begun, what waits, and what does not apply', () => {
  const order = [...page.matchAll(/data-claim="([^"]*)"/g)].map(([, spec]) => spec);
  expect(order).toEqual(['bad', 'good', 'later', 'beside']);
});

test('only what will come is waiting', () => {
  expect(page.match(/>waiting</g)).toHaveLength(1);
  expect(page).toContain('– not applicable<');
});
