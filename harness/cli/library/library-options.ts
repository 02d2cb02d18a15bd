import { statSync } from 'node:fs';
import { join, relative, resolve, sep } from 'node:path';
import { Argument, type Command } from 'commander';
import type { Lamp } from '../../bench/lamp.ts';
import { readLamp } from '../../bench/lamp-file.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { BadFiles } from '../../workflow/inputs/bad-files.ts';
import { readFile } from '../../workflow/inputs/read-file.ts';
import { type Copy, copiesIn } from '../../workflow/project/copies.ts';
import { usualLamp } from '../../workflow/project/project-file.ts';
import type { Io } from '../common/io.ts';

export interface LibraryOptions {
  readonly specs: string;
  readonly lamp?: string;
}

export function addLibraryOptions(command: Command): Command {
  return command
    .addArgument(
      new Argument('[files...]', 'files of the folder of specs').default([], 'all of them'),
    )
    .option('--specs <folder>', 'folder of the copies', 'specs')
    .option(
      '--lamp <file>',
      "lamp file that says which specs are for it (default: the project's, or Alcove-6)",
    );
}

export interface Found {
  readonly lamp: Lamp;
  /** The folder of specs. */
  readonly specs: string;
  readonly copies: readonly Copy[];
}

/** The copies of these files; of all where none is named. Throws a Complaint where a name is of no file of the library. */
export function readCopies(files: readonly string[], options: LibraryOptions, io: Io): Found {
  const specs = resolve(io.cwd, options.specs);
  if (!statSync(specs, { throwIfNoEntry: false })?.isDirectory())
    throw new Complaint('no-input', `there is no folder ${options.specs} in ${io.cwd}`, {
      remedy: 'new-project',
    });
  const lampFile = options.lamp ?? usualLamp(io.cwd);
  const read = readLamp(readFile(lampFile, io.cwd).text, lampFile);
  if ('issues' in read) throw new BadFiles(read.issues);
  const all = copiesIn(specs, read.lamp);
  const known = all.map(({ path }) => path);
  const asked = files.map((file) => pathOf(file, specs, known, io));
  const copies = asked.length === 0 ? all : all.filter(({ path }) => asked.includes(path));
  return { lamp: read.lamp, specs, copies };
}

/** A file as the command line names it, as a path in the folder of specs; both ways are understood. */
function pathOf(file: string, specs: string, known: readonly string[], io: Io): string {
  const inside = relative(specs, resolve(io.cwd, file)).split(sep).join('/');
  const found = [inside, file].find((path) => known.includes(path));
  if (found !== undefined) return found;
  const sentence = `${file}: expected a file that the library has for this lamp, or had`;
  throw new Complaint('usage', `${sentence}${didYouMean(join(inside), known)}`);
}
