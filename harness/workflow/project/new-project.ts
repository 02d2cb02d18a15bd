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
import { type FirmwareStyle, starterFirmware } from './starter-firmware.ts';
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
  /** Null: no firmware folder. */
  readonly firmware: FirmwareStyle | null;
  /** A spec to begin with in place of the library's, by its path; null: those of the library that this lamp can have. */
  readonly spec: readonly [path: string, text: string] | null;
}

export interface MadeProject extends LaidOut {
  /** From the folder. */
  readonly lampFile: string;
  readonly lamp: Lamp;
  /** Null where no specs were chosen from the library. */
  readonly chosen: Fitting | null;
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
  const own = layOut(
    folder,
    new Map([
      [projectFile, projectText(lamp.lamp, lampFile)],
      ...(request.lamp === null ? [[lampFile, text] as const] : []),
      [rigFile, starterRig(libraryText('rigs/simulated.rig.yaml'), lamp)],
      ...(request.firmware ? starterFirmware(lamp, request.firmware) : []),
      ...(request.spec ? [request.spec] : []),
      ...request.ci.map(
        (form) => [ciFiles[form], starterCi(form, request.firmware !== null)] as const,
      ),
      ['.gitignore', ignored],
    ]),
  );
  if (request.spec) return { lampFile, lamp, chosen: null, ...own };
  const chosen = fittingLibrary(lamp);
  const specs = copySpecs(folder, chosen);
  return {
    lampFile,
    lamp,
    chosen,
    written: [...own.written, ...specs.written],
    left: [...own.left, ...specs.left],
  };
}

/** Copies specs of the library, and keeps what they were for a later update. */
function copySpecs(folder: string, { files }: Fitting): LaidOut {
  const specs = layOut(folder, new Map(files.map((path) => [`specs/${path}`, libraryText(path)])));
  layOut(
    join(folder, 'specs'),
    basesIn(
      specs.written.map((path) => path.slice('specs/'.length)),
      harnessVersion,
    ),
  );
  return specs;
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
replays/
explored/
firmware/build/
`;
