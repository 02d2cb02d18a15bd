import type { RunIndex } from '../../archive/open-index.ts';
import { type IndexOptions, withIndex } from '../../workflow/stored-runs/with-index.ts';
import type { Io } from './io.ts';

const mostShown = 5;

/** `withIndex` for a command: says on stderr which folders could not be read. */
export function withReportedIndex<Result>(
  root: string,
  io: Io,
  options: Omit<IndexOptions, 'onSynced'>,
  work: (index: RunIndex) => Result | Promise<Result>,
): Promise<Result> {
  const onSynced: IndexOptions['onSynced'] = ({ added, unreadable }) => {
    if (options.rebuild)
      io.stderr(`Indexed ${added} ${added === 1 ? 'run' : 'runs'} in ${root}.\n`);
    for (const text of unreadable.slice(0, mostShown)) io.stderr(`evenfall: skipped: ${text}\n`);
    const more = unreadable.length - mostShown;
    if (more > 0) io.stderr(`evenfall: skipped ${more} more\n`);
  };
  return withIndex(root, { ...options, onSynced }, work);
}
