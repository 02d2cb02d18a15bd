import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { counted } from '../../report/words/prose.ts';
import { missingTools } from '../../workflow/project/missing-tools.ts';
import type { MadeProject } from '../../workflow/project/new-project.ts';
import { ciFiles } from '../../workflow/project/starter-ci.ts';
import { harnessVersion } from '../../workflow/version.ts';
import type { Io } from '../common/io.ts';

/** What was laid out in a folder, and what to do next. */
export function projectText(made: MadeProject, folder: string, next: readonly string[]): string {
  const { lamp, written, left } = made;
  const links = Object.keys(lamp.links).join(', ');
  const parts = [
    [`lamp ${lamp.lamp}: ${counted(lamp.channels.length, 'channel')}; ${links}`],
    written.length > 0 ? ['written:', ...listed(written, made)] : ['written: nothing'],
    left.length > 0
      ? ['left as they were:', ...listed(left, made), ...unignored(left, folder)]
      : [],
    ['next:', ...next.map((line) => `  ${line}`)],
  ];
  return parts.map((lines) => lines.map((line) => `${line}\n`).join('')).join('');
}

/** Files, each with what it is; those of one folder together. */
function listed(paths: readonly string[], { lampFile, chosen }: MadeProject): string[] {
  const about: Readonly<Record<string, string>> = {
    'evenfall.project.yaml': 'names the lamp and rig that commands take in this folder',
    [lampFile]: 'the lamp; compare every line marked "check" with yours',
    'simulated.rig.yaml': 'the simulated bench, with ranges for this lamp',
    'specs/': chosen
      ? `${chosen.files.length - 1} of the ${chosen.all.length - 1} specs of library ${harnessVersion}: those that this lamp can have`
      : 'a claim to begin with',
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

/** What goes before the first run: into the folder, and one CI file too many. */
export function firstLines({ written }: MadeProject, folder: string): string[] {
  const both = Object.values(ciFiles).every((file) => written.includes(file));
  return [
    ...(folder === '.' ? [] : [`cd ${folder}`]),
    ...(both ? ['# delete the CI file that your forge does not read'] : []),
  ];
}

/** How the small firmware is built and run with `claims`, and what it cannot do. */
export function firmwareLines({ lamp }: MadeProject, claims: string, io: Io): string[] {
  const tools = missingTools(io.env['PATH'] ?? '');
  return [
    ...(tools.length > 0 ? [`apt-get install ${tools.join(' ')}`] : []),
    `make -C firmware && npx evenfall run ${claims} --firmware firmware/build/lamp.wasm`,
    ...(lamp.links.dali
      ? ['(it knows no DALI yet: claims about DALI fail with it; firmware/README.md)']
      : []),
  ];
}
