import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Lamp } from '../../bench/lamp.ts';
import { type Base, readBases } from './bases.ts';
import { fittingLibrary, libraryHas, libraryText } from './library.ts';
import { mergeLines } from './merge-lines.ts';

/**
 * How a copy stands to the installed library:
 * `same` as there; `changed` by the user alone; `newer` in the library alone; `both` changed, in lines that do not touch; `conflict`,
 * both changed the same lines; `unknown` where it differs and nobody knows from what it came; `new` in the library, for this lamp;
 * `deleted` by the user; `gone` from the library.
 */
type Standing =
  | 'same'
  | 'changed'
  | 'newer'
  | 'both'
  | 'conflict'
  | 'unknown'
  | 'new'
  | 'deleted'
  | 'gone';

/** A file of the library, and what a project has of it. */
export interface Copy {
  /** In the folder of specs, and in the library. */
  readonly path: string;
  readonly standing: Standing;
  readonly mine: string | null;
  readonly theirs: string | null;
  readonly base: Base | null;
  /** The text with the changes of both sides; null where there is none to take. */
  readonly merged: string | null;
}

/** Every file of the installed library that a folder of specs has, had, or might have for this lamp, by path. */
export function copiesIn(specs: string, lamp: Lamp): readonly Copy[] {
  const bases = readBases(specs);
  const { files, all } = fittingLibrary(lamp);
  const present = all.filter((path) => existsSync(join(specs, path)));
  return [...new Set([...files, ...present, ...bases.keys()])].sort().map((path) => {
    const file = join(specs, path);
    const mine = existsSync(file) ? readFileSync(file, 'utf8') : null;
    const theirs = libraryHas(path) ? libraryText(path) : null;
    const base = bases.get(path) ?? null;
    return { path, mine, theirs, base, ...standingOf(mine, theirs, base) };
  });
}

function standingOf(
  mine: string | null,
  theirs: string | null,
  base: Base | null,
): Pick<Copy, 'standing' | 'merged'> {
  if (theirs === null) return { standing: 'gone', merged: null };
  if (mine === null)
    return base ? { standing: 'deleted', merged: null } : { standing: 'new', merged: theirs };
  if (mine === theirs) return { standing: 'same', merged: mine };
  if (!base) return { standing: 'unknown', merged: null };
  if (theirs === base.text) return { standing: 'changed', merged: null };
  if (mine === base.text) return { standing: 'newer', merged: theirs };
  const merged = mergeLines(mine, base.text, theirs);
  return { standing: merged === null ? 'conflict' : 'both', merged };
}
