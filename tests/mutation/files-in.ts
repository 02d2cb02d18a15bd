import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';

/** The files of folders and of what lies in them, and files that are named themselves, with this ending; sorted. */
export function filesIn(places: readonly string[], ending: string): readonly string[] {
  return places
    .filter((place) => existsSync(place))
    .flatMap((place) =>
      statSync(place).isFile()
        ? [place]
        : readdirSync(place, { recursive: true, encoding: 'utf8' }).map((name) =>
            join(place, name),
          ),
    )
    .filter((file) => file.endsWith(ending))
    .sort();
}
