import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { openTestEmulation } from '../../drivers/emulate/open-test-bench.ts';
import { sampled, whole } from '../../sampled.ts';
import { type DeadKind, deadKinds, deadMoment, limitOf } from './dead-moment.ts';

/** Moments of each kind; a series sets more: EVENFALL_DEAD_MOMENTS=200. */
const moments = Number(process.env['EVENFALL_DEAD_MOMENTS'] ?? (whole ? 20 : 1));
/** Only these kinds, where it says so. */
const wanted = process.env['EVENFALL_DEAD_KINDS']?.split(';') ?? deadKinds;
/** Of these moments, those that another process does not try. */
const [part = 0, parts = 1] = (process.env['EVENFALL_DEAD_PART'] ?? '0/1').split('/').map(Number);

const kinds = deadKinds.filter((kind) => wanted.includes(kind));

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

describe.each(moments > 1 ? kinds : sampled(kinds, 3))('%s', (kind: DeadKind) => {
  it(
    'leads to a dark lamp in time, at any moment of a run, and to no verdict on the lamp',
    async () => {
      const times: number[] = [];
      const wrong: string[] = [];
      for (let moment = part; moment < moments; moment += parts) {
        const found = await deadMoment(emulation, kind, moment);
        times.push(found.darkAfter);
        const { darkAfter, litAgain, verdicts, locks } = found;
        const right =
          darkAfter < limitOf(kind) &&
          !litAgain &&
          !verdicts.includes('fail') &&
          locks.length === 0;
        const story = `${kind}, moment ${moment}: ${JSON.stringify(found)}`;
        if (!right) wrong.push(story);
        if (moments > 1) console.log(`${right ? '' : 'WRONG '}${story}`);
      }
      if (moments > 1) console.log(summary(kind, times, wrong.length));
      expect(wrong.join('\n')).toBe('');
    },
    60_000 + moments * 60_000,
  );
});

function summary(kind: DeadKind, times: readonly number[], wrong: number): string {
  const inOrder = times.toSorted((a, b) => a - b);
  const at = (share: number): string =>
    (inOrder[Math.min(inOrder.length - 1, Math.floor(share * inOrder.length))] ?? 0).toFixed(2);
  return `SERIES ${kind}: ${times.length} moments, ${wrong} wrong; dark after ${at(0.5)} s (median), ${at(0.95)} s (95 %), ${at(1)} s (most)`;
}
