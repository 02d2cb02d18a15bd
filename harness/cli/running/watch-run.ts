import { type FSWatcher, statSync, watch } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';
import { Complaint } from '../../workflow/complaint.ts';
import { findFiles } from '../../workflow/inputs/find-files.ts';
import { complain } from '../common/complaints.ts';
import { interruptionCode } from '../common/exit-codes.ts';
import { aborted, type Io } from '../common/io.ts';

/** A save is often several writes, or a new file under the old name: what follows within this time is the same save, ms. */
const settling = 150;

/** What is looked at: spec files and folders of them, and other files that a run depends on. */
export interface Watched {
  readonly specs: readonly string[];
  readonly files: readonly string[];
}

/**
 * Runs `round` now and after every save of what is watched, until Ctrl-C. A save in the middle of a round ends it and
 * begins the next one. Files that cannot be read are reported, and the next save awaited; wrong usage ends the watch.
 */
export async function watchRun(
  watched: Watched,
  round: (io: Io) => Promise<unknown>,
  io: Io,
): Promise<number> {
  while (!io.interrupted.aborted) {
    const saved = new AbortController();
    const watchers = watchFor(watched, io, () => saved.abort('a save'));
    try {
      await tolerant(round, {
        ...io,
        interrupted: AbortSignal.any([io.interrupted, saved.signal]),
      });
      if (!io.interrupted.aborted && !saved.signal.aborted) {
        io.stderr('waiting for the next save; Ctrl-C stops\n');
      }
      await aborted(AbortSignal.any([io.interrupted, saved.signal]));
    } finally {
      for (const watcher of watchers) watcher.close();
    }
  }
  return interruptionCode(io);
}

async function tolerant(round: (io: Io) => Promise<unknown>, io: Io): Promise<void> {
  try {
    await round(io);
  } catch (error) {
    const mendable =
      error instanceof Complaint && (error.kind === 'bad-file' || error.kind === 'no-input');
    if (!mendable) throw error;
    complain(error, io);
  }
}

/** Folders are watched, not files: many editors save by putting another file in the place of the old one. */
function watchFor({ specs, files }: Watched, io: Io, saved: () => void): FSWatcher[] {
  let timer: NodeJS.Timeout | undefined;
  const settle = (): void => {
    clearTimeout(timer);
    timer = setTimeout(saved, settling);
  };
  return [...foldersOf({ specs, files }, io.cwd)].map(([folder, names]) => {
    const watcher = watch(folder, (_event, name) => {
      // Not every file system tells the name.
      if (name === null || names.has(name) || (names.has('*') && name.endsWith('.spec.yaml'))) {
        settle();
      }
    });
    // A folder that is taken away is met by the next round.
    return watcher.on('error', settle);
  });
}

/** Folder -> names in it that matter; `*`: every spec file. */
function foldersOf({ specs, files }: Watched, cwd: string): Map<string, Set<string>> {
  const folders = new Map<string, Set<string>>();
  const add = (folder: string, name: string): void => {
    folders.set(folder, (folders.get(folder) ?? new Set()).add(name));
  };
  for (const path of specs) {
    const whole = resolve(cwd, path);
    if (statSync(whole, { throwIfNoEntry: false })?.isDirectory()) {
      add(whole, '*');
      const inside = findFiles([path], ['.spec.yaml'], cwd);
      for (const file of inside) add(dirname(resolve(cwd, file)), '*');
    } else add(dirname(whole), basename(whole));
  }
  for (const file of files.map((name) => resolve(cwd, name))) add(dirname(file), basename(file));
  const there = (folder: string) => statSync(folder, { throwIfNoEntry: false })?.isDirectory();
  return new Map([...folders].filter(([folder]) => there(folder)));
}
