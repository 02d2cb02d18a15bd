/** An error that the user can mend. `message` says what was expected, what was found and what to do; no stack is shown. */
export class Complaint extends Error {
  override readonly name = 'Complaint';
  readonly exitCode: number;
  constructor(exitCode: number, message: string, options?: ErrorOptions) {
    super(message, options);
    this.exitCode = exitCode;
  }
}
