import { mkdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import type { Lamp } from '../../bench/lamp.ts';
import type { Issue } from '../../files/issue.ts';
import { readSpec } from '../../spec-language/spec-file.ts';
import { Complaint } from '../complaint.ts';
import { harnessVersion } from '../version.ts';
import { keepBase } from './bases.ts';
import type { Copy } from './copies.ts';

/** What is done where both sides changed the same lines, or nobody knows from what a copy came: nothing, or one side wins. */
export type Winner = 'mine' | 'theirs';

export type Updated =
  /** The library's text stands there now. */
  | { readonly did: 'took' }
  /** The changes of both sides stand there now. */
  | { readonly did: 'merged' }
  /** The user's text stands there still, and counts as made from the installed library. */
  | { readonly did: 'kept' }
  /** Nothing was to be done. */
  | { readonly did: 'nothing' }
  /** A person has to say which side wins. */
  | { readonly did: 'left'; readonly issues: readonly Issue[] };

/** Brings a copy up to the installed library. Throws a Complaint where it cannot be written. */
export function updateCopy(
  specs: string,
  copy: Copy,
  lamp: Lamp,
  winner: Winner | undefined,
): Updated {
  const { path, standing, theirs, mine, merged } = copy;
  if (theirs === null) return { did: 'nothing' };
  const store = (text: string): void => {
    if (text !== mine) write(join(specs, path), text);
    keepBase(specs, path, { version: harnessVersion, text: theirs });
  };
  if (standing === 'same' || standing === 'changed') {
    if (standing === 'changed' && winner === 'theirs') return take(store, theirs, 'took');
    if (copy.base?.version !== harnessVersion || copy.base.text !== theirs) store(mine ?? theirs);
    return { did: 'nothing' };
  }
  if (winner === 'theirs') return take(store, theirs, 'took');
  if (winner === 'mine' && mine !== null) return take(store, mine, 'kept');
  if (standing === 'deleted') return { did: 'nothing' };
  if (merged === null) return { did: 'left', issues: [] };
  if (standing !== 'both') return take(store, merged, 'took');
  const issues = issuesOf(path, merged, lamp);
  return issues.length > 0 ? { did: 'left', issues } : take(store, merged, 'merged');
}

function take<Did extends 'took' | 'merged' | 'kept'>(
  store: (text: string) => void,
  text: string,
  did: Did,
): { readonly did: Did } {
  store(text);
  return { did };
}

/** Lines of both sides may make a text that neither would have written. */
function issuesOf(path: string, text: string, lamp: Lamp): readonly Issue[] {
  if (!path.endsWith('.spec.yaml')) return [];
  const read = readSpec(text, { file: path, folder: dirname(path), digest: '', lamp });
  return 'issues' in read ? read.issues : [];
}

function write(file: string, text: string): void {
  try {
    mkdirSync(dirname(file), { recursive: true });
    writeFileAtomic.sync(file, text);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    throw new Complaint('cannot-create', `${file}: it cannot be written (${code})`, {
      cause: error,
    });
  }
}
