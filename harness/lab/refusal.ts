/** Why the lab does not do what it was asked to: a closed list, from which the service chooses its status. */
export type RefusalKind =
  | 'invalid' // what was sent cannot be read or used
  | 'no-token' // nobody is known by this token
  | 'forbidden' // somebody is, and may not do this
  | 'not-found'
  | 'conflict' // it is not, or no longer, as the sender thinks
  | 'missing' // a file is not here, or no longer: it may be sent again
  | 'too-large'
  | 'away'; // the database does not answer now: it may be tried again

/** What the lab does not do. `message` says what was expected, what was found and what to do. */
export class Refusal extends Error {
  override readonly name = 'Refusal';
  readonly kind: RefusalKind;
  constructor(kind: RefusalKind, message: string, options?: ErrorOptions) {
    super(message, options);
    this.kind = kind;
  }
}
