import { verdictWithBench } from '../../record/bench-after.ts';
import { verdictOfGate } from '../../record/quarantine.ts';
import type { RunRecord } from '../../record/run-record.ts';
import type { Ending } from '../../verdict/verdict.ts';
import type { Io } from './io.ts';

/** How the process ends; README lists them for CI. 64..77 follow the BSD sysexits convention. */
export const exitCodes = {
  pass: 0,
  fail: 1,
  inconclusive: 2,
  bench: 3,
  usage: 64,
  badFile: 65,
  noInput: 66,
  unreachable: 69,
  internal: 70,
  cannotCreate: 73,
  locked: 75,
  refused: 77,
  interrupted: 130,
  terminated: 143,
} as const;

/** Exit code of a process that a signal ended: 143 after SIGTERM, 130 after Ctrl-C. */
export function interruptionCode({ interrupted }: Pick<Io, 'interrupted'>): number {
  return interrupted.reason === 'SIGTERM' ? exitCodes.terminated : exitCodes.interrupted;
}

/** What the process says about a run that has ended: claims in quarantine do not count. */
export function exitCodeOfRun(
  record: Pick<RunRecord, 'ended' | 'specs' | 'rig' | 'shards'>,
  io: Pick<Io, 'interrupted'>,
): number {
  const { ended, specs } = record;
  if (ended === 'interrupted') return interruptionCode(io);
  if (ended === 'failed') return exitCodes.bench;
  return exitCodeOfVerdict(verdictWithBench(verdictOfGate(specs), record));
}

export function exitCodeOfVerdict(verdict: Ending): number {
  if (verdict === 'error') return exitCodes.bench;
  if (verdict === 'fail') return exitCodes.fail;
  return verdict === 'pass' ? exitCodes.pass : exitCodes.inconclusive;
}
