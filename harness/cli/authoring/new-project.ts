import { resolve } from 'node:path';
import { type MadeProject, newProject } from '../../workflow/project/new-project.ts';
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

interface ProjectOptions extends LampOptions {
  readonly folder: string;
  readonly firmware: boolean;
}

/** `evenfall new project [NAME]`: lamp, rig, specs, firmware and CI for a firmware repository. Never overwrites. */
export const register: Register = (command, io) => {
  addLampOptions(command)
    .description('lay out a project in a firmware repository: lamp, rig, specs, firmware, CI')
    .argument('[name]', 'name of the lamp', starterName, 'my-lamp')
    .option('--folder <folder>', 'folder to lay it out in', '.')
    .option('--lamp <file>', 'choose the specs by this lamp file; none is written')
    .option('--no-firmware', 'no firmware folder')
    .action((name: string, options: ProjectOptions) => make(name, options, io));
};

function make(name: string, options: ProjectOptions, io: Io): void {
  const folder = resolve(io.cwd, options.folder);
  const made = newProject({
    folder,
    lamp: options.lamp === undefined ? null : fromFolder(options.lamp, folder, io.cwd),
    answers: answersOf(name, options, 'new project'),
    schemaLine: schemaLine('lamp', folder),
    ci: ciOf(options, folder),
    firmware: options.firmware ? options.style : null,
    spec: null,
  });
  io.stdout(projectText(made, folder, nextLines(made, options, io)));
}

function nextLines(made: MadeProject, { folder, firmware }: ProjectOptions, io: Io): string[] {
  return [
    ...firstLines(made, folder),
    'npx evenfall run --tag commit    # the quick claims on the simulated lamp, with its built-in firmware',
    'npx evenfall run                 # all of them',
    ...(firmware ? firmwareLines(made, '--tag commit', io) : []),
  ];
}
