import { readLamp } from '../bench/lamp-file.ts';
import { readRig } from '../bench/rig-file.ts';
import type { Issue } from '../files/issue.ts';
import { renderIssues } from '../files/render-issues.ts';
import { Complaint } from './complaint.ts';
import { isSimulated } from './draft-record.ts';
import { exitCodes } from './exit-codes.ts';
import type { Io } from './io.ts';
import { readFile } from './read-file.ts';
import { shippedFile } from './shipped-file.ts';
import type { RigFiles } from './start-rig-run.ts';

/** Options of every command that works on a rig. */
export interface RigOptions {
  readonly rig: string;
  readonly lamp?: string;
}

/** Reads the rig file and the lamp file of a command on a rig of real instruments. */
export function readRigFiles(options: RigOptions, io: Io): RigFiles {
  const rigFile = options.rig;
  const lampFile = options.lamp ?? shippedFile('lamps/alcove-6.lamp.yaml', io);
  const issues: Issue[] = [];
  const rig = readRig(readFile(rigFile, io.cwd).text, rigFile);
  const lamp = readLamp(readFile(lampFile, io.cwd).text, lampFile);
  if ('issues' in rig) issues.push(...rig.issues);
  if ('issues' in lamp) issues.push(...lamp.issues);
  if (!('rig' in rig) || !('lamp' in lamp))
    throw new Complaint(exitCodes.badFile, renderIssues(issues, { colour: io.colour }));
  if (isSimulated(rig.rig))
    throw new Complaint(
      exitCodes.usage,
      `rig ${rig.rig} is simulated: it needs no care. Name the file of a rig with real instruments`,
    );
  return {
    rig: rig.rig,
    lamp: lamp.lamp,
    rigFile: { file: rigFile },
    lampFile: { file: lampFile },
  };
}
