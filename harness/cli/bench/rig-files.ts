import { Complaint } from '../../workflow/complaint.ts';
import { readBench } from '../../workflow/inputs/read-bench.ts';
import type { RigFiles } from '../../workflow/rig/take-rig.ts';
import { isSimulated } from '../../workflow/running/draft-record.ts';
import type { Io } from '../common/io.ts';

/** Options of every command that works on a rig. */
export interface RigOptions {
  readonly rig: string;
  readonly lamp?: string;
}

/** Reads the rig file and the lamp file of a command on a rig of real instruments. */
export function readRigFiles({ rig, lamp }: RigOptions, io: Io): RigFiles {
  const bench = readBench({ rig, lamp }, io.cwd);
  if (!isSimulated(bench.rig)) return bench;
  throw new Complaint(
    'usage',
    `rig ${bench.rig.rig} is simulated. Name the file of a rig with real instruments`,
  );
}
