import { ArchiveError, type ArchiveErrorKind } from '../../archive/archive-error.ts';
import { plainText } from '../../files/plain-text.ts';
import { Complaint, type ComplaintKind, type Remedy } from '../../workflow/complaint.ts';
import { BadFiles } from '../../workflow/inputs/bad-files.ts';
import { exitCodes, interruptionCode } from './exit-codes.ts';
import type { Io } from './io.ts';

/** Prints a complaint, and returns the exit code that tells CI what it is about. */
export function complain(
  complaint: Complaint,
  io: Pick<Io, 'stderr' | 'colour' | 'interrupted'>,
): number {
  const text =
    complaint instanceof BadFiles ? complaint.rendered(io) : plainText(complaint.message);
  const remedy = complaint.remedy === undefined ? '' : remedies[complaint.remedy];
  io.stderr(`evenfall: ${text}${remedy}\n`);
  return complaint.kind === 'interrupted' ? interruptionCode(io) : codes[complaint.kind];
}

const codes: Readonly<Record<Exclude<ComplaintKind, 'interrupted'>, number>> = {
  usage: exitCodes.usage,
  'bad-file': exitCodes.badFile,
  'no-input': exitCodes.noInput,
  unreachable: exitCodes.unreachable,
  bench: exitCodes.bench,
  internal: exitCodes.internal,
  'cannot-create': exitCodes.cannotCreate,
  locked: exitCodes.locked,
  refused: exitCodes.refused,
};

/** The options that mend it. */
const remedies: Readonly<Record<Remedy, string>> = {
  'flashing-ok': '. Then pass --flashing-ok, or select other specs',
  lamp: '; name the old file with --lamp',
  'which-lamp': '. Choose one with --lamp NAME, or name the run itself',
  rig: '; name the old file with --rig',
  specs: '; say where they are with --specs',
  'unencrypted-key':
    '. Encrypt it with evenfall keys passphrase FILE, or sign with --unencrypted-key where it is kept safe otherwise',
  'new-project':
    '. To lay one out, with a lamp and a rig file: evenfall new project. To take the shipped one: name library: instead',
  waivers: '. Waive each with --waive CLAIM --reason TEXT, or decide hold or reject',
};

/** Runs `work`; what the archive could not do becomes a Complaint. */
export async function withArchive<Result>(work: () => Promise<Result>): Promise<Result> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof ArchiveError)) throw error;
    throw new Complaint(archiveKinds[error.kind], error.message, { cause: error });
  }
}

const archiveKinds: Readonly<Record<ArchiveErrorKind, ComplaintKind>> = {
  'not-writable': 'cannot-create',
  full: 'cannot-create',
  exists: 'cannot-create',
  'bad-name': 'usage',
  'not-found': 'no-input',
  ambiguous: 'usage',
  damaged: 'bad-file',
  newer: 'bad-file',
  'no-sqlite': 'internal',
  busy: 'locked',
  unfinished: 'bad-file',
  sealed: 'usage',
  signed: 'refused',
  'bad-record': 'internal',
};
