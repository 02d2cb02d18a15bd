import type { Command } from 'commander';
import { Complaint } from '../../workflow/complaint.ts';
import { isSimulated, readBench } from '../../workflow/inputs/read-bench.ts';
import type { RigFiles } from '../../workflow/rig/acquire-rig.ts';
import type { Io } from '../common/io.ts';

/** Options of every command that works on a rig. */
export interface RigOptions {
  readonly rig: string;
  readonly lamp?: string;
  readonly locks?: string;
}

export function addRigOptions(command: Command): Command {
  return command
    .requiredOption('--rig <file>', 'rig file')
    .option('--lamp <file>', "lamp file (default: the project's, or Alcove-6)")
    .option(
      '--locks <folder>',
      'folder of the locks of rigs and instruments (default: EVENFALL_LOCKS, or the temporary folder)',
    );
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
