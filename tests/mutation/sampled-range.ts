import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { filesIn } from './files-in.ts';
import type { MutationGroup } from './groups.ts';
import type { Source } from './instrument.ts';

/**
 * So many lines of one of the group's files, drawn by the text of them all: others after each change of the code, the same
 * as long as nothing changes.
 */
export function sampledRange({ folders }: MutationGroup, lines: number): readonly Source[] {
  const digest = createHash('sha256');
  const places = filesIn(folders, '.ts').flatMap((file) => {
    const text = readFileSync(file, 'utf8');
    digest.update(text);
    const { length } = text.split('\n');
    return Array.from({ length }, (_, k) => ({ file, line: k + 1, length }));
  });
  const drawn = places[digest.digest().readUInt32BE() % places.length];
  if (!drawn) return [];
  const first = Math.max(1, Math.min(drawn.line, drawn.length - lines + 1));
  return [{ file: drawn.file, first, last: Math.min(drawn.length, first + lines - 1) }];
}
