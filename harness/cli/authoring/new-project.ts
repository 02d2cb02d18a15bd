import { readFileSync } from 'node:fs';
import { join, relative, resolve, sep } from 'node:path';
import { counted } from '../../report/words/prose.ts';
import { isOfLibrary } from '../../workflow/inputs/shipped-file.ts';
import { missingTools } from '../../workflow/project/missing-tools.ts';
import { type MadeProject, newProject } from '../../workflow/project/new-project.ts';
import { ciFiles } from '../../workflow/project/starter-ci.ts';
import { harnessVersion } from '../../workflow/version.ts';
import type { Io, Register } from '../common/io.ts';
import { addProjectOptions, answersOf, ciOf, type ProjectOptions } from './project-options.ts';
import { schemaLine } from './schema-line.ts';
import { starterName } from './starter-name.ts';

/** `evenfall new project [NAME]`: lamp, rig, specs, firmware and CI for a firmware repository. Never overwrites. */
export const register: Register = (command, io) => {
  addProjectOptions(command)
    .description('lay out a project in a firmware repository: lamp, rig, specs, firmware, CI')
    .argument('[name]', 'name of the lamp', starterName, 'my-lamp')
    .action((name: string, options: ProjectOptions) => make(name, options, io));
};

function make(name: string, options: ProjectOptions, io: Io): void {
  const folder = resolve(io.cwd, options.folder);
  const made = newProject({
    folder,
    lamp: options.lamp === undefined ? null : fromFolder(options.lamp, folder, io.cwd),
    answers: answersOf(name, options),
    schemaLine: schemaLine('lamp', folder),
    ci: ciOf(options, folder),
    firmware: options.firmware,
  });
  io.stdout(projectText(made, folder, options, io));
}

/** A path of the command line as the project has it. */
function fromFolder(path: string, folder: string, cwd: string): string {
  return isOfLibrary(path) ? path : relative(folder, resolve(cwd, path)).split(sep).join('/');
}

function projectText(made: MadeProject, folder: string, options: ProjectOptions, io: Io): string {
  const { lamp, written, left } = made;
  const links = Object.keys(lamp.links).join(', ');
  const parts = [
    [`lamp ${lamp.lamp}: ${counted(lamp.channels.length, 'channel')}; ${links}`],
    written.length > 0 ? ['written:', ...listed(written, made)] : ['written: nothing'],
    left.length > 0
      ? ['left as they were:', ...listed(left, made), ...unignored(left, folder)]
      : [],
    ['next:', ...nextLines(made, options, io)],
  ];
  return parts.map((lines) => lines.map((line) => `${line}\n`).join('')).join('');
}

/** Files, each with what it is; those of one folder together. */
function listed(paths: readonly string[], { lampFile, chosen }: MadeProject): string[] {
  const about: Readonly<Record<string, string>> = {
    'evenfall.project.yaml': 'names the lamp and rig that commands take in this folder',
    [lampFile]: 'the lamp; compare every line marked "check" with yours',
    'simulated.rig.yaml': 'the simulated bench, with ranges for this lamp',
    'specs/': `${chosen.files.length - 1} of the ${chosen.all.length - 1} specs of library ${harnessVersion}: those that this lamp can have`,
    'firmware/': 'lamp-port.h, a small firmware for the simulated lamp, and its README.md',
    '.github/': 'workflows/evenfall.yml: CI, the quick claims on every push',
    '.gitlab-ci.yml': 'CI, the quick claims on every push',
  };
  const heads = paths.map((path) => path.replace(/\/.*/, '/'));
  const width = Math.max(...heads.map((head) => head.length));
  return [...new Set(heads)].map((head) => {
    const files = heads.filter((own) => own === head).length;
    const count = head.endsWith('/') ? ` (${counted(files, 'file')})` : '';
    return `  ${head.padEnd(width)}  ${about[head] ?? 'what is kept out of the history'}${count}`;
  });
}

/** Lines that a .gitignore of the user's own lacks. */
function unignored(left: readonly string[], folder: string): string[] {
  if (!left.includes('.gitignore')) return [];
  const lines = readFileSync(join(folder, '.gitignore'), 'utf8').split(/\r?\n/);
  const lacking = ['node_modules', 'reports', 'firmware/build'].filter(
    (name) => !lines.some((line) => line.replace(/^\/|\/$/g, '') === name),
  );
  return lacking.length === 0 ? [] : [`  add to .gitignore: ${lacking.join('/ ')}/`];
}

function nextLines({ lamp, written }: MadeProject, options: ProjectOptions, io: Io): string[] {
  const enter = options.folder === '.' ? [] : [`  cd ${options.folder}`];
  const tools = missingTools(io.env['PATH'] ?? '');
  const install = tools.length > 0 ? [`  apt-get install ${tools.join(' ')}`] : [];
  const dali = lamp.links.dali
    ? ['  (it knows no DALI yet: claims about DALI fail with it; firmware/README.md)']
    : [];
  const firmware = [
    ...install,
    '  make -C firmware && npx evenfall run --tag commit --firmware firmware/build/lamp.wasm',
    ...dali,
  ];
  const both = Object.values(ciFiles).every((file) => written.includes(file));
  return [
    ...enter,
    ...(both ? ['  # delete the CI file that your forge does not read'] : []),
    '  npx evenfall run --tag commit    # the quick claims on the simulated lamp, with its built-in firmware',
    '  npx evenfall run                 # all of them',
    ...(options.firmware ? firmware : []),
  ];
}
