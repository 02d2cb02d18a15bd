import { plainLine } from '../../files/plain-text.ts';

/** Characters that a message shows of what came back. */
const shown = 200;

/** News that did not arrive, and whether it may be tried again. */
export class Undelivered extends Error {
  override readonly name = 'Undelivered';
  readonly mayTryAgain: boolean;

  constructor(text: string, mayTryAgain: boolean, options?: ErrorOptions) {
    super(text, options);
    this.mayTryAgain = mayTryAgain;
  }
}

/** What a stranger answered, on one line and not too long of it, behind a colon; nothing where there was nothing. */
export function answered(text: string): string {
  const line = [...plainLine(text)].slice(0, shown).join('');
  return line === '' ? '' : `: ${line}`;
}
