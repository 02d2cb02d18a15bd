import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { Lamp } from '../../bench/lamp.ts';
import { readLamp } from '../../bench/lamp-file.ts';
import { BadFiles } from '../inputs/bad-files.ts';
import { readFile } from '../inputs/read-file.ts';
import { refuseSwapped } from '../inputs/refuse-swapped.ts';
import { harnessVersion } from '../version.ts';
import { basesIn } from './bases.ts';
import { type LaidOut, layOut } from './lay-out.ts';
import { type Fitting, fittingLibrary, libraryText } from './library.ts';
import { projectFile, projectLamp } from './project-file.ts';
import type { LampAnswers } from './starter-answers.ts';
import { type CiForm, ciFiles, starterCi } from './starter-ci.ts';
import { starterFirmware } from './starter-firmware.ts';
import { starterLamp } from './starter-lamp.ts';
import { starterRig } from './starter-rig.ts';

/** What a project is made of. */
export interface NewProject {
  readonly folder: string;
  /** A lamp file that is there already, from the folder; null: one is written by `answers`. */
  readonly lamp: string | null;
  readonly answers: LampAnswers;
  /** The first line of a lamp file, which names its schema. */
  readonly schemaLine: string;
  readonly ci: readonly CiForm[];
  readonly firmware: boolean;
}

export interface MadeProject extends LaidOut {
  /** From the folder. */
  readonly lampFile: string;
  readonly lamp: Lamp;
  readonly chosen: Fitting;
}

/** Where a project's simulated bench is described. */
const rigFile = 'simulated.rig.yaml';

/**
 * Lays out a project: lamp, rig, the specs of the shipped library that this lamp can have, firmware, CI. Files that are there stay
 * as they are, and a lamp file among them is what the specs are chosen by. Throws a Complaint where a file is wrong or cannot be written.
 */
export function newProject(request: NewProject): MadeProject {
  const { folder, answers } = request;
  const lampFile = request.lamp ?? projectLamp(folder) ?? `${answers.name}.lamp.yaml`;
  const given = request.lamp !== null || existsSync(join(folder, lampFile));
  const text = given ? readFile(lampFile, folder).text : request.schemaLine + starterLamp(answers);
  const lamp = lampOf(text, lampFile);
  const chosen = fittingLibrary(lamp);
  const own = layOut(
    folder,
    new Map([
      [projectFile, projectText(lamp.lamp, lampFile)],
      ...(request.lamp === null ? [[lampFile, text] as const] : []),
      [rigFile, starterRig(libraryText('rigs/simulated.rig.yaml'), lamp)],
      ...(request.firmware ? starterFirmware(lamp) : []),
      ...request.ci.map((form) => [ciFiles[form], starterCi(form, request.firmware)] as const),
      ['.gitignore', ignored],
    ]),
  );
  const specs = layOut(
    folder,
    new Map(chosen.files.map((path) => [`specs/${path}`, libraryText(path)])),
  );
  layOut(
    join(folder, 'specs'),
    basesIn(
      specs.written.map((path) => path.slice('specs/'.length)),
      harnessVersion,
    ),
  );
  return {
    lampFile,
    lamp,
    chosen,
    written: [...own.written, ...specs.written],
    left: [...own.left, ...specs.left],
  };
}

function lampOf(text: string, file: string): Lamp {
  refuseSwapped('lamp', { file, text, digest: '' });
  const read = readLamp(text, file);
  if ('issues' in read) throw new BadFiles(read.issues, 'nothing was written');
  return read.lamp;
}

function projectText(name: string, lampFile: string): string {
  return `# What evenfall takes in this folder where no option says otherwise.
project: ${name}
lamp: ${lampFile}
rig: ${rigFile}
`;
}

/** What a project does not keep in its history. */
const ignored = `node_modules/
# Stored runs and what a search found; keep them elsewhere where they are evidence.
reports/
explored/
firmware/build/
`;
