import type { Ending } from '../verdict/verdict.ts';
import type { BenchAfter } from './rig-record.ts';
import type { RunRecord, SpecRecord } from './run-record.ts';

type OfBenches = Pick<RunRecord, 'rig'> & Partial<Pick<RunRecord, 'shards'>>;

/** What a bench was like after the last claim. */
interface AfterOfBench {
  /** Name of the rig. */
  readonly rig: string;
  readonly after: BenchAfter;
}

/** Each bench of a run whose rig file asks for checks after the last claim: its own, or those of its shards. */
export function benchesAfter({ rig, shards }: OfBenches): readonly AfterOfBench[] {
  const rigs = shards ? shards.map((shard) => shard.rig) : [rig];
  return rigs.flatMap(({ name, after }) => (after ? [{ rig: name, after }] : []));
}

/** Benches that were not good after the last claim, or on which an instrument failed while that was checked. */
function brokenBenches(record: OfBenches): readonly AfterOfBench[] {
  return benchesAfter(record).filter(
    ({ after: { state } }) => state === 'broken' || state === 'failed',
  );
}

/** A bench that was not good after the last claim makes the run an error, whatever its claims say: never the lamp's fault. */
export function verdictWithBench(verdict: Ending, record: OfBenches): Ending {
  return brokenBenches(record).length > 0 ? 'error' : verdict;
}

/** What breaks the proof of a whole run, a sentence a bench; null where nothing does. */
export function benchBrokenText(record: OfBenches): string | null {
  const broken = brokenBenches(record);
  if (broken.length === 0) return null;
  const benches = broken.map(({ rig, after }) => `the bench ${rig} ${brokenWords(after)}`);
  return `after the last claim ${benches.join('; ')}. What was measured since the last good look is not proved`;
}

function brokenWords({ state, why, checks }: BenchAfter): string {
  if (state === 'failed') return `could not be checked: ${why ?? 'no reason given'}`;
  const broken = checks.filter(({ result }) => result === 'broken');
  return `was not good: ${broken.map(({ check, text }) => `${check}: ${text}`).join('; ')}`;
}

/** A claim as a requirement may rest on it: one that was run on a bench that was not good proves none. */
export function asProved(spec: SpecRecord, record: OfBenches): SpecRecord {
  const broken = benchBrokenText(record);
  const stands = spec.verdict === 'not run' || spec.verdict === 'not applicable';
  return broken === null || stands ? spec : { ...spec, verdict: 'error', reason: broken };
}

/** Checks that were not made, or not to their end. */
export function notChecked(state: 'failed' | 'not checked', why: string): BenchAfter {
  return { state, why, checks: [] };
}
