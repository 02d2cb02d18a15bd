import { existsSync } from 'node:fs';
import { dirname, join, relative, sep } from 'node:path';
import type { FileKind } from './file-kinds.ts';

/** Where schemas lie in a project of specs, and in one that keeps its specs in a folder, or has them as a package. */
const places = ['schemas', 'specs/schemas', 'node_modules/evenfall/specs/schemas'];

/**
 * The first line of a new file in a folder, by which an editor knows its schema: the nearest one upwards. Empty where none is found: a
 * path that leads nowhere is worse.
 */
export function schemaLine(kind: FileKind, folder: string): string {
  for (let above = folder; ; above = dirname(above)) {
    const found = places
      .map((place) => join(above, place, `${kind}.schema.json`))
      .find((path) => existsSync(path));
    if (found) {
      const path = relative(folder, found).split(sep).join('/');
      return `# yaml-language-server: $schema=${path.startsWith('.') ? path : `./${path}`}\n`;
    }
    if (dirname(above) === above) return '';
  }
}
