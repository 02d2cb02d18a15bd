import type { ComplaintKind } from '../../workflow/complaint.ts';
import type { Io } from './io.ts';

/** How the process ends; README lists them for CI. 64..77 follow the BSD sysexits convention. */
export const exitCodes = {
  pass: 0,
  fail: 1,
  inconclusive: 2,
  bench: 3,
  usage: 64,
  badFile: 65,
  noInput: 66,
  unreachable: 69,
  internal: 70,
  cannotCreate: 73,
  locked: 75,
  refused: 77,
  interrupted: 130,
  terminated: 143,
} as const;

/** Exit code of a process that a signal ended: 143 after SIGTERM, 130 after Ctrl-C. */
export function interruptionCode({ interrupted }: Pick<Io, 'interrupted'>): number {
  return interrupted.reason === 'SIGTERM' ? exitCodes.terminated : exitCodes.interrupted;
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

/** The exit code that tells CI what a complaint is about. */
export function exitCodeOfComplaint(
  { kind }: { readonly kind: ComplaintKind },
  io: Pick<Io, 'interrupted'>,
): number {
  return kind === 'interrupted' ? interruptionCode(io) : codes[kind];
}
