import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { buildProgram } from '../../cli/program.ts';
import { openTestEmulation } from '../../drivers/emulate/open-test-bench.ts';
import { type DeadKind, deadKinds, deadMoment, limitOf } from './dead-moment.ts';

/** Moments of each kind; a series sets more: EVENFALL_DEAD_MOMENTS=200. */
const moments = Number(process.env['EVENFALL_DEAD_MOMENTS'] ?? 1);
/** Only these kinds, where it says so. */
const wanted = process.env['EVENFALL_DEAD_KINDS']?.split(',') ?? deadKinds;
/** Of these moments, those that another process does not try. */
const [part = 0, parts = 1] = (process.env['EVENFALL_DEAD_PART'] ?? '0/1').split('/').map(Number);

let emulation: Emulation;
beforeAll(async () => {
  buildProgram();
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

describe.each(deadKinds.filter((kind) => wanted.includes(kind)))('%s', (kind: DeadKind) => {
  it(
    'leads to a dark lamp in time, at any moment of a run, and to no verdict on the lamp',
    async () => {
      const slowest = { dark: 0 };
      for (let moment = part; moment < moments; moment += parts) {
        const found = await deadMoment(emulation, kind, moment);
        slowest.dark = Math.max(slowest.dark, found.darkAfter);
        const story = `${kind}, moment ${moment}: ${JSON.stringify(found)}`;
        expect(found.darkAfter, story).toBeLessThan(limitOf(kind));
        expect(found.litAgain, story).toBe(false);
        expect(found.verdicts, story).not.toContain('fail');
        expect(found.locks, story).toEqual([]);
        if (process.env['EVENFALL_DEAD_MOMENTS']) console.log(story);
      }
      if (moments > 1) console.log(`${kind}: dark after ${slowest.dark.toFixed(2)} s at most`);
    },
    60_000 + moments * 60_000,
  );
});
