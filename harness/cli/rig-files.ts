import { Complaint } from './complaint.ts';
import { isSimulated } from './draft-record.ts';
import { exitCodes } from './exit-codes.ts';
import type { Io } from './io.ts';
import { readBench } from './read-bench.ts';
import type { RigFiles } from './start-rig-run.ts';

/** Options of every command that works on a rig. */
export interface RigOptions {
  readonly rig: string;
  readonly lamp?: string;
}

/** Reads the rig file and the lamp file of a command on a rig of real instruments. */
export function readRigFiles({ rig, lamp }: RigOptions, io: Io): RigFiles {
  const bench = readBench({ rig, lamp }, io);
  if (!isSimulated(bench.rig)) return bench;
  throw new Complaint(
    exitCodes.usage,
    `rig ${bench.rig.rig} is simulated: it needs no care. Name the file of a rig with real instruments`,
  );
}
