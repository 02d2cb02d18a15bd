import { Option } from 'commander';
import { renderIssues } from '../../files/render-issues.ts';
import { counted } from '../../report/words/prose.ts';
import { Complaint } from '../../workflow/complaint.ts';
import type { Copy } from '../../workflow/project/copies.ts';
import { type Updated, updateCopy, type Winner } from '../../workflow/project/update-copies.ts';
import { harnessVersion } from '../../workflow/version.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { addLibraryOptions, type LibraryOptions, readCopies } from './library-options.ts';

interface UpdateOptions extends LibraryOptions {
  readonly new?: boolean;
  readonly mine?: boolean;
  readonly theirs?: boolean;
}

/** `evenfall library update [FILES]`: takes over what the installed library changed, and keeps what the user did. */
export const register: Register = (command, io) => {
  addLibraryOptions(command)
    .description('take over what the installed library changed, and keep your own changes')
    .option('--new', 'also take specs that are new in the library and for this lamp')
    .addOption(
      new Option('--mine', 'of the named files your text stays as it is').conflicts('theirs'),
    )
    .option('--theirs', "of the named files the library's text counts, and your changes are lost")
    .action((files: string[], options: UpdateOptions) => update(files, options, io));
};

function update(files: readonly string[], options: UpdateOptions, io: Io): void {
  const winner: Winner | undefined = options.mine ? 'mine' : options.theirs ? 'theirs' : undefined;
  if (winner !== undefined && files.length === 0)
    throw new Complaint('usage', `--${winner}: expected the files that it is for, found none`);
  const { lamp, specs, copies } = readCopies(files, options, io);
  const wanted = copies.filter(
    ({ standing }) => standing !== 'new' || options.new || files.length > 0,
  );
  const outcomes = wanted.map((copy) => ({
    copy,
    updated: updateCopy(specs, copy, lamp, winner),
  }));
  for (const { copy, updated } of outcomes) {
    const text = outcomeText(copy, updated, io);
    if (text !== null) io.stdout(`${text}\n`);
  }
  const of = (did: Updated['did']): number =>
    outcomes.filter(({ updated }) => updated.did === did).length;
  const done = of('took') + of('merged') + of('kept');
  io.stdout(
    `${counted(done, 'file')} brought to library ${harnessVersion}, ${of('left')} left to you\n`,
  );
  if (of('left') > 0) io.exitCode = exitCodes.fail;
}

function outcomeText({ path, base }: Copy, updated: Updated, io: Io): string | null {
  const from = base ? ` (from ${base.version})` : '';
  switch (updated.did) {
    case 'took':
      return `${path}${from}: taken from the library`;
    case 'merged':
      return `${path}${from}: the library's changes are in it, and yours`;
    case 'kept':
      return `${path}${from}: yours, as it was`;
    case 'left':
      return `${path}${from}: left as it was, ${whyLeft(updated.issues, base !== null, io)}`;
    case 'nothing':
      return null;
  }
}

function whyLeft(
  issues: Extract<Updated, { did: 'left' }>['issues'],
  known: boolean,
  { colour }: Io,
): string {
  const next = 'evenfall library diff shows both; then name it with --mine or --theirs';
  if (issues.length > 0)
    return `since the changes of both sides together are no spec:\n${renderIssues(issues, { colour })}\n${next}`;
  return known
    ? `since both sides changed the same lines; ${next}`
    : `since the version that it came from is not known; ${next}`;
}
