import type { ConditionResult, ConditionTask, Lane } from './lane.ts';

/** One try that ended in a bench error, and whether there will be another. */
export interface FailedTry {
  readonly task: ConditionTask;
  /** Counted from 1. */
  readonly number: number;
  readonly text: string;
  readonly again: boolean;
}

/** Runs a condition, up to `retries` times again after a bench error; `failed` hears of every try that ended in one. */
export async function attempt(
  task: ConditionTask,
  lane: Lane,
  signal: AbortSignal,
  retries: number,
  failed: (failure: FailedTry) => Promise<void>,
): Promise<ConditionResult> {
  for (let number = 1; ; number++) {
    const result = await lane.execute(task, signal);
    const { verdict, reason } = result.condition;
    const over = signal.aborted || (lane.lost?.() ?? null) !== null;
    const again = verdict === 'error' && benchBroke(result) && number <= retries && !over;
    if (verdict === 'error') await failed({ task, number, text: reason ?? 'bench error', again });
    if (!again) return { ...result, condition: { ...result.condition, attempts: number } };
  }
}

/**
 * An error without findings: an instrument failed, as against a record that a metric refused. A window without a sample
 * is the bench's doing as well: commands came so late that the record was over.
 */
function benchBroke({ condition: { findings } }: ConditionResult): boolean {
  const empty = findings.some(({ outcome }) => !outcome.measured && outcome.reason === 'empty');
  return findings.length === 0 || empty;
}
