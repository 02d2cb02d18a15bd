export type ArchiveErrorKind =
  | 'not-writable' // folder or disk refuses writing
  | 'full' // no space left
  | 'exists' // a file of that name is already stored
  | 'bad-name' // a file name that would leave its folder
  | 'not-found' // no such run or file
  | 'ambiguous' // several runs fit
  | 'damaged' // a stored file is not what its format says
  | 'newer' // written by a later version
  | 'no-sqlite' // the database's code does not load on this computer
  | 'busy' // another process writes to the run
  | 'unfinished' // the run is not sealed
  | 'sealed' // the run is sealed: nothing may be added
  | 'signed' // the run is signed: nothing may be changed
  | 'bad-record'; // a caller handed in what the schema refuses

/** What the archive could not do. `message` says what was expected, what was found and what to do. */
export class ArchiveError extends Error {
  override readonly name = 'ArchiveError';
  readonly kind: ArchiveErrorKind;
  constructor(kind: ArchiveErrorKind, message: string, options?: ErrorOptions) {
    super(message, options);
    this.kind = kind;
  }
}

/** The sentence for an error of the file system while `doing`. */
export function fileSystemError(error: unknown, doing: string): ArchiveError {
  if (error instanceof ArchiveError) return error;
  const code = (error as NodeJS.ErrnoException).code ?? 'unknown error';
  const options = { cause: error };
  if (code === 'ENOSPC' || code === 'EDQUOT' || code === 'EFBIG') {
    const text = `${doing}: no space left (${code}); what was stored before is sound. Free some space and try again; a run that was cut off goes on with --resume`;
    return new ArchiveError('full', text, options);
  }
  if (code === 'ENOENT') return new ArchiveError('not-found', `${doing}: no such file`, options);
  if (code === 'EEXIST' || code === 'ENOTEMPTY') {
    return new ArchiveError('exists', `${doing}: a file of this name is already there`, options);
  }
  const text = `${doing}: the file system refuses it (${code}); choose a folder that you can write to`;
  return new ArchiveError('not-writable', text, options);
}
