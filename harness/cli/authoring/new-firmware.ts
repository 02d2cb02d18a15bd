import { join, resolve } from 'node:path';
import { newProject } from '../../workflow/project/new-project.ts';
import type { Io, Register } from '../common/io.ts';
import {
  addLampOptions,
  answersOf,
  ciOf,
  fromFolder,
  type LampOptions,
} from './project-options.ts';
import { firmwareLines, firstLines, projectText } from './project-text.ts';
import { schemaLine } from './schema-line.ts';
import { starterName } from './starter-name.ts';
import { starters } from './starters.ts';

interface FirmwareOptions extends LampOptions {
  readonly folder?: string;
}

/** `evenfall new firmware NAME`: a folder with a small firmware, its lamp, one spec and CI. Never overwrites. */
export const register: Register = (command, io) => {
  addLampOptions(command)
    .description('write a small firmware in C that builds and passes, with its lamp and one spec')
    .argument('<name>', 'name of the lamp', starterName)
    .option('--folder <folder>', 'folder to write it in (default: NAME in this folder)')
    .option('--lamp <file>', 'for this lamp file; none is written')
    .action((name: string, options: FirmwareOptions) => make(name, options, io));
};

function make(name: string, options: FirmwareOptions, io: Io): void {
  const named = options.folder ?? name;
  const folder = resolve(io.cwd, named);
  const spec = starters.spec
    .replace(/\bNAME\b/, firstClaim)
    .replace('tags: [nightly]        ', 'tags: [commit, nightly]');
  const made = newProject({
    folder,
    lamp: options.lamp === undefined ? null : fromFolder(options.lamp, folder, io.cwd),
    answers: answersOf(name, options, 'new firmware'),
    schemaLine: schemaLine('lamp', folder),
    ci: ciOf(options, folder),
    firmware: options.style,
    spec: [`specs/${firstClaim}.spec.yaml`, schemaLine('spec', join(folder, 'specs')) + spec],
  });
  const next = [
    ...firstLines(made, named),
    ...firmwareLines(made, 'specs', io),
    'npx evenfall new project    # adds the claims of the library that this lamp can have',
  ];
  io.stdout(projectText(made, folder, next));
}

const firstClaim = 'first-fade';
