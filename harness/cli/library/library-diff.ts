import { counted } from '../../report/words/prose.ts';
import type { Copy } from '../../workflow/project/copies.ts';
import { changedLines } from '../../workflow/project/merge-lines.ts';
import { harnessVersion } from '../../workflow/version.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Register } from '../common/io.ts';
import { addLibraryOptions, type LibraryOptions, readCopies } from './library-options.ts';

/** `evenfall library diff [FILES]`: what the installed library has that a project's copies have not. */
export const register: Register = (command, io) => {
  addLibraryOptions(command)
    .description("show what the installed library changed in a project's copies")
    .action((files: string[], options: LibraryOptions) => {
      const { copies } = readCopies(files, options, io);
      io.stdout(`${diffText(copies).join('\n')}\n`);
      if (copies.some(isToDo)) io.exitCode = exitCodes.fail;
    });
};

const toDo: readonly Copy['standing'][] = ['newer', 'both', 'conflict', 'unknown'];

function isToDo({ standing }: Copy): boolean {
  return toDo.includes(standing);
}

function diffText(copies: readonly Copy[]): string[] {
  const of = (standing: Copy['standing']): string[] =>
    copies.filter((copy) => copy.standing === standing).map(({ path }) => path);
  const list = (title: string, paths: readonly string[]): string[] =>
    paths.length === 0 ? [] : [`${title}:`, ...paths.map((path) => `  ${path}`)];
  return [
    ...copies.filter(isToDo).flatMap(fileText),
    ...list('changed here alone, nothing to take', of('changed')),
    ...list('new in the library, for this lamp (evenfall library update --new)', of('new')),
    ...list('deleted here', of('deleted')),
    ...list('no longer in the library; the copy stays', of('gone')),
    `${counted(of('same').length, 'file')} as in library ${harnessVersion}, ${counted(copies.filter(isToDo).length, 'file')} to take or to decide`,
  ];
}

function fileText(copy: Copy): string[] {
  const { path, mine, theirs, base } = copy;
  const from = base?.text ?? mine ?? '';
  const indented = (lines: readonly string[]): string[] => lines.map((line) => `  ${line}`);
  const yours =
    copy.standing === 'conflict'
      ? ['  your changes:', ...indented(changedLines(from, mine ?? ''))]
      : [];
  return [
    `${path}: ${standingText(copy)}`,
    ...indented(changedLines(from, theirs ?? '')),
    ...yours,
    '',
  ];
}

function standingText({ standing, base }: Copy): string {
  const step = `${base?.version} to ${harnessVersion}`;
  switch (standing) {
    case 'both':
      return `changed here and from ${step}, in other lines: both can stay`;
    case 'conflict':
      return `changed here and from ${step}, in the same lines`;
    case 'unknown':
      return `differs from ${harnessVersion}; the version that it came from is not known. From yours to the library's`;
    default:
      return `changed from ${step}; unchanged here`;
  }
}
