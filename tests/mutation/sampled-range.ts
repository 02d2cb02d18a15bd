import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { filesIn } from './files-in.ts';
import type { MutationGroup } from './groups.ts';
import type { Source } from './instrument.ts';

/** A line of a function with something in it to change: in types, constants and comments there may be nothing. */
const decides = /^\s+(if \(|return .*[-+*/<>?&|])/;

/**
 * So many lines, from one that decides something on, of one of the group's files, drawn by the text of them all: others after each change of the code, the same
 * as long as nothing changes.
 */
export function sampledRange({ folders }: MutationGroup, lines: number): readonly Source[] {
  const digest = createHash('sha256');
  const places = filesIn(folders, '.ts').flatMap((file) => {
    const text = readFileSync(file, 'utf8');
    digest.update(text);
    const all = text.split('\n');
    const { length } = all;
    return all.flatMap((line, k) => (decides.test(line) ? [{ file, line: k + 1, length }] : []));
  });
  const drawn = places[digest.digest().readUInt32BE() % places.length];
  if (!drawn) return [];
  const first = Math.max(1, Math.min(drawn.line, drawn.length - lines + 1));
  return [{ file: drawn.file, first, last: Math.min(drawn.length, first + lines - 1) }];
}
