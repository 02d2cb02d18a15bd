import type { ConsoleLink } from '../../../harness/bench/lamp.ts';
import { type ConsoleCommand, longestLine, readCommand } from '../../console/command-line.ts';
import type { FirmwareTraits } from './traits.ts';

/** Gathers bytes of the console into lines. A line that is too long is refused whole, never cut. */
export class ConsoleInput {
  readonly #link: ConsoleLink;
  readonly #channels: number;
  readonly #traits: FirmwareTraits;
  #line = '';
  #overlong = false;
  #spoilt = false;

  constructor(link: ConsoleLink, channels: number, traits: FirmwareTraits) {
    this.#link = link;
    this.#traits = traits;
    this.#channels = channels;
  }

  /** A byte that was not whole: nothing of its line counts. */
  spoil(): void {
    this.#spoilt = true;
  }

  /** The command that this byte completes, a refusal in words, or null. Empty lines are nothing. */
  take(byte: number): ConsoleCommand | { readonly refused: string } | null {
    if (byte !== 0x0d && byte !== 0x0a) {
      if (this.#line.length >= longestLine) this.#overlong = true;
      else this.#line += String.fromCharCode(byte);
      return null;
    }
    const line = this.#line;
    const overlong = this.#overlong;
    this.#line = '';
    this.#overlong = false;
    const spoilt = this.#spoilt;
    this.#spoilt = false;
    if (spoilt) return { refused: 'framing error' };
    if (overlong) return { refused: `line longer than ${longestLine} bytes` };
    const { consoleFigure } = this.#traits;
    return line.trim() === '' ? null : readCommand(this.#link, line, this.#channels, consoleFigure);
  }
}
