import { expect, test } from 'vitest';
import { liveRun } from '../../../harness/report/pages/archive/live-run.ts';

const still = { running: false, worst: null };
const claims = [
  { ...still, spec: 'beside', claim: 'Mains.', done: 0, verdict: 'not applicable' },
  { ...still, spec: 'later', claim: 'Later.', done: 0, verdict: 'not run' },
  { ...still, spec: 'good', claim: 'Good.', done: 2, verdict: 'pass' },
  { ...still, spec: 'bad', claim: 'Bad.', done: 1, verdict: 'fail', worst: '9 ms, allowed 5 ms' },
  { ...still, spec: 'first', claim: 'First.', done: 0, verdict: 'not run', running: true },
  { ...still, spec: 'more', claim: 'More.', done: 1, verdict: 'pass', running: true },
] as const;

const page = liveRun({ state: 'running', done: 3, planned: 4, claims }, { resume: '' }).toString();

test('what is running stands first, then what fails, what has begun, what waits, and what does not apply', () => {
  const order = [...page.matchAll(/data-claim="([^"]*)"/g)].map(([, spec]) => spec);
  expect(order).toEqual(['first', 'more', 'bad', 'good', 'later', 'beside']);
});

test('what is running is called so, with what is known of it', () => {
  expect(page).toContain('>running<');
  expect(page).toContain('>running; ● pass so far, 1 condition<');
});

test('the worst finding stands with a claim that does not hold', () => {
  expect(page).toMatch(/data-worst="bad">9 ms, allowed 5 ms</);
});

test('only what will come is waiting', () => {
  expect(page.match(/>waiting</g)).toHaveLength(1);
  expect(page).toContain('– not applicable<');
});
