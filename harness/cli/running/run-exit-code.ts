import type { RunRecord } from '../../record/run-record.ts';
import { exitCodes, interruptionCode } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';

/** What the process says about a run that has ended. */
export function exitCodeOf({ ended, verdict }: RunRecord, io: Pick<Io, 'interrupted'>): number {
  if (ended === 'interrupted') return interruptionCode(io);
  if (ended === 'failed' || verdict === 'error') return exitCodes.bench;
  if (verdict === 'fail') return exitCodes.fail;
  return verdict === 'pass' ? exitCodes.pass : exitCodes.inconclusive;
}
