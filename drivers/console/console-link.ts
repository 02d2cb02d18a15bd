import { BenchError, type BenchErrorKind } from '../../harness/bench/errors.ts';
import type { ConsoleLink as ConsoleTemplates, Lamp } from '../../harness/bench/lamp.ts';
import type {
  Call,
  Identity,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
} from '../../harness/bench/ports.ts';
import { plainLine } from '../../harness/files/plain-text.ts';
import type { BytePort } from '../transport/byte-port.ts';
import { type Lines, LineTalk } from '../transport/line-talk.ts';
import { fadeLine, isOk, longestLine, readIdentity, setLine } from './command-line.ts';

/** Seconds after a line that is no confirmation in which the confirmation may still come: a lamp may log before it answers. */
const logPatience = 0.25;
/** Seconds from try to try of a port that comes back after a restart. */
const comesBack = 0.1;
/** More without a line end is no text. */
const longestReply = 4096;

/** The lamp's console on a real line. Echo, prompts, empty lines and bytes that are no text are passed over. */
export class ConsoleLampLink implements LampLink {
  readonly kind = 'lamp-link';
  readonly driver = 'console';
  readonly link = 'console';
  readonly name: string;
  readonly #templates: ConsoleTemplates;
  readonly #channels: readonly string[];
  readonly #talk: LineTalk;

  constructor(
    name: string,
    lamp: Lamp,
    templates: ConsoleTemplates,
    connect: (signal: AbortSignal) => Promise<BytePort>,
  ) {
    this.name = name;
    this.#templates = templates;
    this.#channels = lamp.channels.map(({ channel }) => channel);
    this.#talk = new LineTalk(name, longestReply, connect);
  }

  async identify(call: Call): Promise<Identity> {
    const { identify } = this.#templates;
    return this.#talk.use(call, async (lines) => {
      await lines.send(identify);
      const first = await nextReply(lines, identify);
      let reply: string | null = first;
      // An identity has commas; a line without may be the lamp's log.
      while (reply !== null && !reply.includes(','))
        reply = await nextReply(lines, identify, logPatience);
      return readIdentity(reply ?? first ?? '');
    });
  }

  async set(target: LampTarget, call: Call): Promise<void> {
    await this.#order(setLine(this.#templates, this.#channels, target), call);
  }

  async fade(target: LampTarget, over: number, call: Call): Promise<void> {
    await this.#order(fadeLine(this.#templates, this.#channels, target, over), call);
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    if (message.link !== 'console')
      throw this.#error('unsupported', `a ${message.link} message was asked for; it carries lines`);
    const { line } = message;
    if (/[\r\n]/.test(line))
      throw this.#error('unsupported', 'one line was expected, several were given');
    return this.#talk.use(call, async (lines) => {
      await lines.send(line);
      return { text: (await nextReply(lines, line)) ?? '' };
    });
  }

  carry(): Promise<void> {
    return Promise.reject(
      this.#error('unsupported', 'a console has no signal that could be stopped'),
    );
  }

  /** The line end closes the garbled line; then the lamp's refusals are read away until it is silent. */
  async noise(bytes: Uint8Array, call: Call): Promise<void> {
    await this.#talk.use(call, async (lines) => {
      await lines.write(bytes);
      await lines.send('');
      while ((await lines.next(logPatience)) !== null);
    });
  }

  /** A lamp whose console is its own USB port takes that port away while it restarts; it is waited for. */
  async reset(call: Call): Promise<void> {
    await this.#order(this.#templates.reset, call);
    this.#talk.drop();
    this.#talk.retryEvery = comesBack;
  }

  async safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    await this.#order(this.#templates.off, call);
    return { confirmed: true };
  }

  get exchange(): number {
    return this.#talk.exchange;
  }

  close(): Promise<void> {
    return this.#talk.close();
  }

  async #order(line: string, call: Call): Promise<void> {
    if (Buffer.byteLength(line) > longestLine)
      throw this.#error('unsupported', `a line of more than ${longestLine} bytes: "${line}"`);
    await this.#talk.use(call, async (lines) => {
      await lines.send(line);
      let other: string | null = null;
      for (;;) {
        const reply = await nextReply(lines, line, other === null ? undefined : logPatience);
        if (reply !== null && isOk(this.#templates, reply)) return;
        if (reply === null)
          throw this.#error(
            'refused',
            `"${line}" was sent, "${this.#templates.ok}" expected, "${other}" came back`,
          );
        other = reply;
      }
    });
  }

  #error(kind: BenchErrorKind, why: string): BenchError {
    return new BenchError(kind, this.name, `console ${this.name}: ${why}`);
  }
}

/** The next line that says something, without its prompt. */
async function nextReply(lines: Lines, sent: string, patience?: number): Promise<string | null> {
  for (;;) {
    const line = await lines.next(patience);
    if (line === null) return null;
    if (isGarbage(line)) continue;
    const text = plainLine(line.replace(/^[\w.-]{0,20}[>#$] ?/, ''));
    if (text !== '' && text !== sent.trim()) return text;
  }
}

/** Bytes that were no UTF-8, or control characters other than tabs and colour codes: noise of a start, or of a wrong baud rate. */
function isGarbage(line: string): boolean {
  return /[\ufffd\u0000-\u0008\u000e-\u001a\u007f]/.test(line);
}
