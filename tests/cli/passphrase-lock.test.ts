import { expect, it } from 'vitest';
import { PassphraseLock } from '../../harness/cli/view/passphrase-lock.ts';

function lockWithClock() {
  const pauses: number[] = [];
  const clock = {
    time: 1e6,
    now: () => clock.time,
    pause: (milliseconds: number) => {
      pauses.push(milliseconds);
      clock.time += milliseconds;
      return Promise.resolve();
    },
  };
  const lock = new PassphraseLock(clock);
  const guess = async (times: number) => {
    for (let k = 0; k < times; k++) await lock.wrong();
  };
  return { lock, clock, pauses, guess };
}

it('answers each wrong passphrase later than the one before, and shuts after five', async () => {
  const { lock, pauses, guess } = lockWithClock();
  await guess(4);
  expect(lock.closed()).toBeNull();
  await guess(1);
  expect(pauses).toEqual([500, 1000, 2000, 4000, 8000]);
  expect(lock.closed()).toMatch(/^5 wrong passphrases in a row: no more are taken here for 5 min/);
});

it('opens again after its time, and stays shut twice as long the next time', async () => {
  const { lock, clock, guess } = lockWithClock();
  await guess(5);
  clock.time += 5 * 60_000;
  expect(lock.closed()).toBeNull();
  await guess(5);
  expect(lock.closed()).toContain('for 10 minutes');
});

it('forgets slips when the right one comes', async () => {
  const { lock, pauses, guess } = lockWithClock();
  await guess(4);
  lock.right();
  await guess(4);
  expect(lock.closed()).toBeNull();
  expect(pauses.slice(4)).toEqual([500, 1000, 2000, 4000]);
});

it('keeps a day of guessing to fewer than a hundred', async () => {
  const { lock, clock } = lockWithClock();
  const end = clock.time + 86_400_000;
  let guesses = 0;
  while (clock.time < end) {
    if (lock.closed()) clock.time += 60_000;
    else {
      guesses++;
      await lock.wrong();
    }
  }
  expect(guesses).toBeLessThan(100);
});
