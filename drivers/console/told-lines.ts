import type { DriverClock } from '../driver-clock.ts';
import type { SendListener } from '../sent-log.ts';
import type { Lines } from '../transport/line-session.ts';
import { saying } from './said.ts';

/** A message that no line has followed so far. */
interface Waiting {
  readonly text: string;
  readonly from: number;
}

/** Lines to and from a console, of which a log is told. */
export class ToldLines implements Lines {
  readonly #lines: Lines;
  readonly #log: SendListener;
  readonly #clock: DriverClock;
  #waiting: Waiting | null = null;
  #sent = '';
  #answer: string[] = [];

  constructor(lines: Lines, log: SendListener, clock: DriverClock) {
    this.#lines = lines;
    this.#log = log;
    this.#clock = clock;
  }

  async send(text: string): Promise<void> {
    this.end();
    this.#sent = text;
    this.#waiting = { text, from: this.#clock.now() };
    await this.#lines.send(text);
  }

  /** What comes back is read away, so that nobody knows what it was. */
  async write(bytes: Uint8Array): Promise<void> {
    this.end();
    const from = this.#clock.now();
    await this.#lines.write(bytes);
    const [, line] = /^([^\r\n]*)\r?\n$/.exec(Buffer.from(bytes).toString('latin1')) ?? [];
    if (line !== undefined) this.#tell(line, from);
    else this.#log.sent({ kind: 'console-bytes', at: this.#clock.now(), bytes: [...bytes] });
  }

  async answer(): Promise<string> {
    return this.#came(await this.#lines.answer());
  }

  async next(patience: number): Promise<string | null> {
    const line = await this.#lines.next(patience);
    return line === null ? null : this.#came(line);
  }

  settle(): Promise<void> {
    return this.#lines.settle();
  }

  /** Nobody listens any more. */
  end(): void {
    const { text, from } = this.#waiting ?? {};
    this.#waiting = null;
    if (text === undefined || from === undefined) return;
    // When it arrived nothing tells; how long the answer was waited for has nothing to do with it.
    this.#log.sent({ kind: 'console', at: from, line: text });
    this.#log.answered({ kind: 'console', at: from, lines: [] });
  }

  #came(line: string): string {
    const waiting = this.#waiting;
    if (waiting) {
      this.#waiting = null;
      this.#answer = [];
      const at = this.#tell(waiting.text, waiting.from);
      this.#log.answered({ kind: 'console', at, lines: this.#answer });
    }
    const said = saying(line, this.#sent);
    if (said !== '') this.#answer.push(said);
    return line;
  }

  /** It arrived between two instants; returns the middle of them. */
  #tell(line: string, from: number): number {
    const within = this.#clock.now() - from;
    const at = from + within / 2;
    this.#log.sent({ kind: 'console', at, line }, 'console', within);
    return at;
  }
}
