import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import type { Change } from './instrument.ts';

/** The changes of a file that the tests noticed at an earlier run. */
interface Noticed {
  /** Digest of the text that was changed. */
  readonly text: string;
  /** Places among the changes of that text. */
  readonly places: readonly number[];
}

/** What earlier runs of a group found, kept from run to run as long as the text of a file stays the same. */
export interface Earlier {
  /** Ids, of today, of the changes that were noticed. */
  readonly noticed: readonly string[];
  /** Keeps what is noticed now, for later runs. */
  readonly keep: (isNoticed: (id: string) => boolean) => void;
}

const folder = '.mutants';

/** `changes` are all those of each file that they name. */
export function earlierRuns(group: string, changes: readonly Change[]): Earlier {
  const path = `${folder}/${group}.json`;
  const kept: Record<string, Noticed> = existsSync(path)
    ? JSON.parse(readFileSync(path, 'utf8'))
    : {};
  const files = [...new Set(changes.map(({ file }) => file))].map((file) => ({
    file,
    text: createHash('sha256').update(readFileSync(file)).digest('hex'),
    ids: changes.filter((change) => change.file === file).map(({ id }) => id),
  }));
  return {
    noticed: files.flatMap(({ file, text, ids }) =>
      kept[file]?.text === text ? kept[file].places.map((place) => ids[place] ?? '') : [],
    ),
    keep(isNoticed) {
      for (const { file, text, ids } of files)
        kept[file] = { text, places: ids.flatMap((id, k) => (isNoticed(id) ? [k] : [])) };
      mkdirSync(folder, { recursive: true });
      writeFileSync(path, JSON.stringify(kept));
    },
  };
}
