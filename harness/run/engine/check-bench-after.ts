import { notChecked } from '../../record/bench-after.ts';
import type { BenchAfter } from '../../record/rig-record.ts';
import type { RunRecord } from '../../record/run-record.ts';
import type { RunSetup, Stop } from './run-setup.ts';

/**
 * Checks the bench once more where its rig file asks for it, as often as a condition is tried after a bench error; not where the run was stopped,
 * or where nothing was measured. Null where nobody asks.
 */
export async function checkBenchAfter(
  { lanes, draft, signal, retries = 0 }: RunSetup,
  measured: number,
  stop: Stop | null,
): Promise<BenchAfter | null> {
  const { after, readBefore = [] } = draft.rig;
  if (!after) return null;
  if (stop) return notChecked('not checked', stop.reason);
  if (measured === 0) return notChecked('not checked', 'nothing was measured');
  let found: BenchAfter | null = null;
  for (const lane of lanes)
    for (let tries = 0; tries <= retries && (!found || found.state === 'failed'); tries++) {
      if (signal.aborted) break;
      found = (await lane.checkAfter?.(readBefore, signal)) ?? null;
      if (lane.lost?.()) break;
    }
  if (signal.aborted && found?.state !== 'good' && found?.state !== 'broken')
    return notChecked('not checked', `the run was ended by ${String(signal.reason)}`);
  return found ?? notChecked('not checked', 'no lane can check its bench');
}

/** What a reader of the deviations has to know of it: that it was not made, what broke it off, or what it noted. */
export function deviationsOf({ state, why, checks }: BenchAfter): RunRecord['deviations'] {
  const noted = checks.filter(({ result }) => result === 'noted');
  return [
    ...(state === 'not checked'
      ? [{ kind: 'bench not checked', text: `after the last claim: ${why}` }]
      : []),
    ...(state === 'failed'
      ? [{ kind: 'bench error', text: `in the checks after the last claim: ${why}` }]
      : []),
    ...noted.map(({ check, text }) => ({
      kind: 'bench noted',
      text: `after the last claim, ${check}: ${text}`,
    })),
  ];
}
