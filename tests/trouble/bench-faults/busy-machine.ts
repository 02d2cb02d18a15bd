import type { ConditionRecord } from '../../../harness/record/run-record.ts';

/** Signs of a test machine that was too busy to keep real time: errors of the bench, and rightly so. */
const tooBusy =
  /commands came up to|no samples in the window|may not hold all of|no colour reading of lamp|cannot decide/;

/** Runs something on an emulated bench; again, up to twice, where this machine was too busy for it. */
export async function againWhereBusy(
  run: () => Promise<readonly ConditionRecord[]>,
): Promise<readonly ConditionRecord[]> {
  for (let tries = 1; ; tries++) {
    const conditions = await run();
    if (tries === 3 || !conditions.some(({ reason }) => tooBusy.test(reason ?? '')))
      return conditions;
  }
}
