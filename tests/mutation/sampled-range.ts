import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { MutationGroup } from './groups.ts';

/**
 * So many lines of one of the group's files, drawn by the text of them all: others after each change of the code, the same
 * as long as nothing changes. As `file:first-last`.
 */
export function sampledRange({ folders }: MutationGroup, lines: number): readonly string[] {
  const digest = createHash('sha256');
  const places = filesIn(folders).flatMap((file) => {
    const text = readFileSync(file, 'utf8');
    digest.update(text);
    const { length } = text.split('\n');
    return Array.from({ length }, (_, k) => ({ file, line: k + 1, length }));
  });
  const drawn = places[digest.digest().readUInt32BE() % places.length];
  if (!drawn) return [];
  const first = Math.max(1, Math.min(drawn.line, drawn.length - lines + 1));
  return [`${drawn.file}:${first}-${Math.min(drawn.length, first + lines - 1)}`];
}

function filesIn(folders: readonly string[]): readonly string[] {
  return folders
    .filter((folder) => existsSync(folder))
    .flatMap((folder) =>
      readdirSync(folder, { recursive: true, encoding: 'utf8' }).map((name) => join(folder, name)),
    )
    .filter((file) => file.endsWith('.ts'))
    .sort();
}
