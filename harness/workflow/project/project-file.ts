import { existsSync } from 'node:fs';
import { join } from 'node:path';
import * as z from 'zod';
import { IssueList } from '../../files/issue-list.ts';
import { readYaml } from '../../files/read-yaml.ts';
import { name, words } from '../../files/schema-parts.ts';
import { BadFiles } from '../inputs/bad-files.ts';
import { readFile } from '../inputs/read-file.ts';
import { shippedFile } from '../inputs/shipped-file.ts';

/** What commands take in a folder that has this file, where no option says otherwise. */
export const projectFile = 'evenfall.project.yaml';

const projectSchema = z.strictObject({
  project: name('Name of the project.'),
  lamp: words('Lamp file, from the folder of this file.'),
  rig: words('Rig file, from the folder of this file.').exactOptional(),
});

/** The lamp file of the project in `cwd`; null where there is no project. Throws BadFiles. */
export function projectLamp(cwd: string): string | null {
  return readProject(cwd)?.lamp ?? null;
}

/** The lamp file of the project in `cwd`, or the shipped Alcove-6 where there is none. Throws BadFiles. */
export function usualLamp(cwd: string): string {
  return projectLamp(cwd) ?? shippedFile('lamps/alcove-6.lamp.yaml', cwd);
}

/** The rig file of the project in `cwd`, or the shipped simulated one. Throws BadFiles. */
export function usualRig(cwd: string): string {
  return readProject(cwd)?.rig ?? shippedFile('rigs/simulated.rig.yaml', cwd);
}

function readProject(cwd: string): z.output<typeof projectSchema> | null {
  if (!existsSync(join(cwd, projectFile))) return null;
  const { text } = readFile(projectFile, cwd);
  const { yaml, issues } = readYaml(text, projectFile);
  if (!yaml) throw new BadFiles(issues);
  const list = new IssueList(yaml, issues);
  const parsed = list.parse(projectSchema, yaml.value);
  if (!parsed || list.count > 0) throw new BadFiles(list.sorted());
  return parsed;
}
