import type { ConsoleLink as ConsoleTemplates } from '../../harness/bench/lamp.ts';
import type {
  Call,
  Identity,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
} from '../../harness/bench/ports.ts';
import { plainLine } from '../../harness/files/plain-text.ts';
import { LinkBase, type LinkParts } from '../link-base.ts';
import type { OpenLinePort } from '../transport/line-port.ts';
import { LineSession, type Lines } from '../transport/line-session.ts';
import { fadeLine, isOk, longestLine, readIdentity, setLine } from './command-line.ts';

/** Seconds after a line that is no confirmation in which the confirmation may still come: a lamp may log before it answers. */
const logPatience = 0.25;
/** Seconds from try to try of a port that comes back after a restart. */
const comesBack = 0.1;

/** The lamp's console. Echo, prompts, empty lines and bytes that are no text are passed over. */
export class ConsoleLampLink extends LinkBase<'console'> implements LampLink {
  readonly #templates: ConsoleTemplates;
  readonly #channels: readonly string[];
  readonly #session: LineSession;

  constructor(parts: LinkParts, templates: ConsoleTemplates, open: OpenLinePort) {
    super(parts, 'console');
    this.#templates = templates;
    this.#channels = parts.lamp.channels.map(({ channel }) => channel);
    this.#session = new LineSession(parts.name, parts.clock, open);
  }

  identify(call: Call): Promise<Identity> {
    const { identify } = this.#templates;
    return this.#use(call, async (lines) => {
      const first = await ask(lines, identify);
      let reply: string | null = first;
      // An identity has commas; a line without may be the lamp's log.
      while (reply !== null && !reply.includes(',')) reply = await nextReply(lines, identify);
      return readIdentity(reply ?? first);
    });
  }

  set(target: LampTarget, call: Call): Promise<void> {
    return this.#order(setLine(this.#templates, this.#channels, target), call);
  }

  fade(target: LampTarget, over: number, call: Call): Promise<void> {
    return this.#order(fadeLine(this.#templates, this.#channels, target, over), call);
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    this.checkOwn(message);
    const { line } = message;
    if (/[\r\n]/.test(line))
      throw this.error('unsupported', 'it sends one line at a time, but the text has several');
    return this.#use(call, async (lines) => ({ text: await ask(lines, line) }));
  }

  /** The line end closes the garbled line; then the lamp's refusals are read away until it is silent. */
  noise(bytes: Uint8Array, call: Call): Promise<void> {
    return this.#use(call, async (lines) => {
      await lines.write(Uint8Array.of(...bytes, 0x0a));
      await lines.settle();
    });
  }

  /** A lamp whose console is its own USB port takes that port away while it restarts; it is waited for. */
  override async reset(call: Call): Promise<void> {
    await this.#order(this.#templates.reset, call);
    this.#session.drop();
    this.#session.retryEvery = comesBack;
  }

  async safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    await this.#order(this.#templates.off, call);
    return { confirmed: true };
  }

  get exchange(): number {
    return this.#session.exchange;
  }

  protected release(): Promise<void> {
    return this.#session.close();
  }

  async #order(line: string, call: Call): Promise<void> {
    if (Buffer.byteLength(line) > longestLine)
      throw this.error('unsupported', `"${line}" has more than ${longestLine} bytes`);
    const { ok } = this.#templates;
    await this.#use(call, async (lines) => {
      let reply: string | null = await ask(lines, line);
      let other = reply;
      while (reply !== null && !isOk(this.#templates, reply)) {
        other = reply;
        reply = await nextReply(lines, line);
      }
      if (reply === null)
        throw this.error('refused', `the lamp answered "${other}" to "${line}"; expected "${ok}"`);
    });
  }

  #use<T>(call: Call, work: (lines: Lines) => Promise<T>): Promise<T> {
    return this.within(call, (signal) => this.#session.use(signal, work));
  }
}

/** Sends a line and takes the first line that says something. */
async function ask(lines: Lines, line: string): Promise<string> {
  await lines.send(line);
  for (;;) {
    const text = saying(await lines.answer(), line);
    if (text !== '') return text;
  }
}

/** The next line that says something, or null when none follows. */
async function nextReply(lines: Lines, sent: string): Promise<string | null> {
  for (;;) {
    const line = await lines.next(logPatience);
    if (line === null) return null;
    const text = saying(line, sent);
    if (text !== '') return text;
  }
}

/** What a line says without its prompt; nothing where it is the echo of what was sent, or no text. */
function saying(line: string, sent: string): string {
  if (isGarbage(line)) return '';
  const text = plainLine(line.replace(/^[\w.-]{0,20}[>#$] ?/, ''));
  return text === sent.trim() ? '' : text;
}

/** Bytes that were no UTF-8, or control characters other than tabs and colour codes: noise of a start, or of a wrong baud rate. */
function isGarbage(line: string): boolean {
  return /[\ufffd\u0000-\u0008\u000e-\u001a\u007f]/.test(line);
}
