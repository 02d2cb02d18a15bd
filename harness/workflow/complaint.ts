/** What a complaint is about: a closed list, from which a command chooses its exit code. */
export type ComplaintKind =
  | 'usage' // called in a way that makes no sense
  | 'bad-file' // a spec, lamp, rig, firmware or stored file with a mistake in it
  | 'no-input' // no such file or run
  | 'unreachable' // an instrument does not answer, or is another one
  | 'bench' // the bench cannot do it
  | 'internal' // Evenfall itself failed
  | 'cannot-create' // the run, or a file that was asked for, cannot be written
  | 'locked' // somebody else is using the rig or the run
  | 'refused' // a signature or key is refused
  | 'interrupted'; // ended by a signal

/** What the caller can give to mend it; a command knows the option. */
export type Remedy =
  | 'flashing-ok'
  | 'lamp'
  | 'which-lamp'
  | 'rig'
  | 'specs'
  | 'new-project'
  | 'waivers'
  | 'unencrypted-key';

/** An error that the user can mend. `message` says what happened, what was expected and what to do; no stack is shown. */
export class Complaint extends Error {
  override readonly name = 'Complaint';
  readonly kind: ComplaintKind;
  readonly remedy: Remedy | undefined;
  constructor(
    kind: ComplaintKind,
    message: string,
    { remedy, ...options }: ErrorOptions & { readonly remedy?: Remedy } = {},
  ) {
    super(message, options);
    this.kind = kind;
    this.remedy = remedy;
  }
}
