import { driverSettings } from '../../../drivers/registry.ts';
import type { Lamp } from '../../bench/lamp.ts';
import { readLamp } from '../../bench/lamp-file.ts';
import type { Rig } from '../../bench/rig.ts';
import { readRig } from '../../bench/rig-file.ts';
import { usualLamp } from '../project/project-file.ts';
import { BadFiles } from './bad-files.ts';
import { type FileText, readFile } from './read-file.ts';
import { refuseSwapped } from './refuse-swapped.ts';

/** A lamp and a rig, and the files that they come from. */
export interface Bench {
  readonly lamp: Lamp;
  readonly lampFile: FileText;
  readonly rig: Rig;
  readonly rigFile: FileText;
}

/** Reads a lamp file (default: the project's, or Alcove-6) and a rig file. Throws a Complaint with the issues of both. */
export function readBench(
  { lamp, rig }: { readonly lamp: string | undefined; readonly rig: string },
  cwd: string,
  outcome?: string,
): Bench {
  const lampFile = readFile(lamp ?? usualLamp(cwd), cwd);
  const rigFile = readFile(rig, cwd);
  refuseSwapped('lamp', lampFile);
  refuseSwapped('rig', rigFile);
  const lampRead = readLamp(lampFile.text, lampFile.file);
  const rigRead = readRig(rigFile.text, rigFile.file, driverSettings);
  if ('lamp' in lampRead && 'rig' in rigRead)
    return { lamp: lampRead.lamp, lampFile, rig: rigRead.rig, rigFile };
  const issues = [lampRead, rigRead].flatMap((read) => ('issues' in read ? read.issues : []));
  throw new BadFiles(issues, outcome);
}

/** Every instrument of the rig is simulated: there is no real lamp. */
export function isSimulated({ instruments }: Rig): boolean {
  return instruments.every(({ driver }) => driver === 'plant');
}
