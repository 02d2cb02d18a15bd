import { LampFailure } from '../../harness/bench/errors.ts';
import type { ConsoleLink as ConsoleTemplates } from '../../harness/bench/lamp.ts';
import type {
  Call,
  Identity,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
} from '../../harness/bench/ports.ts';
import { LinkBase, type LinkParts } from '../link-base.ts';
import type { SendListener } from '../sent-log.ts';
import { halfAnswer } from '../transport/half-answer.ts';
import type { OpenLinePort } from '../transport/line-port.ts';
import { LineSession, type Lines } from '../transport/line-session.ts';
import {
  fadeLine,
  isOk,
  longestLine,
  readIdentity,
  readTemperature,
  setLine,
} from './command-line.ts';
import { isAlmost, isRefusal, quotesAnother } from './lamp-words.ts';
import { saying } from './said.ts';
import { ToldLines } from './told-lines.ts';

/** Seconds after a refusal, or an answer to a question, in which another line may still come: a lamp may log before it answers. */
const logPatience = 0.25;
/** Share of a call's deadline in which the confirmation may follow lines that say neither yes nor no; the rest is for who is to blame. */
const logShare = 0.5;
/** So many lines of a lamp's log are passed over, and so many of them kept. */
const mostLog = 1000;
const mostKept = 20;
const longestKept = 200;
/** Seconds from try to try of a port that comes back after a restart. */
const comesBack = 0.1;
/** So many long lines have to arrive whole before a refusal is the lamp's. */
const proofs = 5;

type ConsoleMessage = Extract<RawMessage, { link: 'console' }>;

/** The lamp's console. Echo, prompts, empty lines and bytes that are no text are passed over. */
export class ConsoleLampLink extends LinkBase<'console'> implements LampLink {
  readonly #templates: ConsoleTemplates;
  readonly #channels: readonly string[];
  readonly #session: LineSession;
  /** First words of the lamp's commands. */
  readonly #commands: readonly string[];
  /** What the lamp said of itself at first. */
  #known: string | null = null;
  /** It has confirmed a command: its lamp file knows how. */
  #confirmed = false;
  /** Characters of the longest line that it has confirmed. */
  #longest = 0;
  #besides: string[] = [];

  constructor(parts: LinkParts, templates: ConsoleTemplates, open: OpenLinePort) {
    super(parts, 'console');
    this.#templates = templates;
    this.#channels = parts.lamp.channels.map(({ channel }) => channel);
    this.#session = new LineSession(parts.name, parts.clock, open);
    this.#commands = [templates.set, templates.fade, templates.off, templates.reset].map(
      (template) => template.split(' ')[0] ?? '',
    );
  }

  identify(call: Call): Promise<Identity> {
    return this.#use(call, async (lines) => {
      const who = await this.#who(lines);
      const known = this.#known ?? who;
      // Other letters, or an identity in other capitals, are not what a lamp says of itself.
      const recased = who !== known && who.toLowerCase() === known.toLowerCase();
      const other = recased || (who !== known && !who.includes(','));
      if (other || isOk(this.#templates, who))
        throw this.error(
          'garbled',
          `the lamp answered "${who}" to "${this.#templates.identify}"${this.#known === null ? '' : `, where it had answered "${this.#known}" before`}: answers are out of step with what is asked, or another console is on the line`,
        );
      this.#known ??= who;
      return readIdentity(who);
    });
  }

  /** Nobody else answers here. */
  whoIsLamp(call: Call): Promise<Identity> {
    return this.identify(call);
  }

  async temperature(call: Call): Promise<number | null> {
    const { temperature } = this.#templates;
    if (temperature === undefined) return null;
    return this.#use(call, async (lines) => {
      let reply: string | null = await ask(lines, temperature);
      // A line without a figure may be the lamp's log.
      while (reply !== null && readTemperature(reply) === null)
        reply = await nextReply(lines, temperature, logPatience);
      return reply === null ? null : readTemperature(reply);
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
    return this.#use(call, async (lines) => ({ text: await this.#answer(lines, message) }));
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

  get besides(): readonly string[] {
    return this.#besides;
  }

  get departed(): number {
    return this.#session.departed;
  }

  protected release(): Promise<void> {
    return this.#session.close();
  }

  async #order(line: string, call: Call): Promise<void> {
    if (Buffer.byteLength(line) > longestLine)
      throw this.error('unsupported', `"${line}" has more than ${longestLine} bytes`);
    await this.#use(call, async (lines) => {
      const until = this.clock.now() + logShare * call.deadline;
      const words = await this.#try(lines, line, until);
      if (words !== null) await this.#blame(lines, line, words);
    });
  }

  /**
   * Null where the lamp confirmed the line; else what it said instead. A line that is neither that nor a refusal is taken for the lamp's
   * log until the instant `until`, and kept.
   */
  async #try(lines: Lines, line: string, until: number): Promise<string | null> {
    const { ok } = this.#templates;
    this.#besides = [];
    let reply: string | null = await ask(lines, line);
    let other = reply;
    for (let count = 1; reply !== null && !isOk(this.#templates, reply); count++) {
      if (!isRefusal(other) || isRefusal(reply)) other = reply;
      this.#keep(reply);
      const isAnswer = isRefusal(other) || isAlmost(other, ok) || count >= mostLog;
      const left = until - this.clock.now();
      reply = await nextReply(lines, line, isAnswer ? logPatience : Math.max(logPatience, left));
    }
    if (reply === null) return other;
    this.#confirmed = true;
    this.#longest = Math.max(this.#longest, line.length);
    return null;
  }

  /** What the lamp says to a line; the words that are expected, where they come behind its log. */
  async #answer(lines: Lines, { line, isAnswer }: ConsoleMessage): Promise<string> {
    this.#besides = [];
    const first = await ask(lines, line);
    let reply: string | null = first;
    while (reply !== null && isAnswer && !isAnswer(reply)) {
      this.#keep(reply);
      reply = await nextReply(lines, line, logPatience);
    }
    return reply ?? first;
  }

  #keep(said: string): void {
    if (this.#besides.length < mostKept) this.#besides.push(said.slice(0, longestKept));
  }

  /**
   * A refusal is the lamp's where the link is proved to carry what it should both ways: the lamp says in between who it is,
   * and refuses the same line again. Any other is the bench's.
   */
  async #blame(lines: Lines, line: string, words: string): Promise<never> {
    const { ok, identify } = this.#templates;
    const said = `the lamp answered "${words}" to "${line}"; expected "${ok}"`;
    if (quotesAnother(words, line, this.#commands))
      throw this.error(
        'garbled',
        `${said}, or at least that line in the answer: it arrived as another one, or the answer belongs to another one; check cable, ground and baud rate`,
      );
    const who = await this.#who(lines);
    const isLamp = who.includes(',') && (this.#known === null || who === this.#known);
    if (isAlmost(words, ok))
      throw this.error(
        'garbled',
        `${said}, and one is nearly the other: the answer is disturbed on its way; check cable, ground and baud rate`,
      );
    if (!isLamp || !(this.#confirmed || isRefusal(words)))
      throw this.error(
        'refused',
        `${said}. Nothing proves that these are the words of the lamp: it answered "${who}" to "${identify}"; check the link, and ok in the lamp file`,
      );
    await this.#mustCarry(line.length, who, said, lines);
    const again = await this.#try(lines, line, this.clock.now());
    if (again === null || quotesAnother(again, line, this.#commands))
      throw this.error(
        'garbled',
        `${said}. Sent again, it was answered with "${again ?? ok}": the line is disturbed; check cable, ground and baud rate`,
      );
    throw new LampFailure(
      `it answered "${words}" to "${line}", which its lamp file allows, and "${again}" when it was sent again; in between it answered "${who}" to "${identify}", also with blanks before it up to the length of that line, so that the link is sound`,
      undefined,
      { manner: 'refused' },
    );
  }

  /**
   * A line cut off, or with a character spoilt, would be refused as well, and a short question hardly notices: it is asked again and
   * again with blanks before it, as long as the line that was refused. A lamp that minds blanks has to have confirmed a line of that length.
   */
  async #mustCarry(length: number, who: string, said: string, lines: Lines): Promise<void> {
    const { identify } = this.#templates;
    const answers: string[] = [];
    for (let time = 0; time < proofs; time++) answers.push(await this.#who(lines, length));
    const wrong = answers.find((answer) => answer !== who);
    if (wrong === undefined) return;
    const minds = answers.every((answer) => answer === wrong) && this.#longest >= length;
    if (minds) return;
    throw this.error(
      'garbled',
      `${said}. Asked "${identify}" in a line of that length ${proofs} times, it answered "${wrong}" and not "${who}": nothing proves that long lines arrive whole; check cable, ground, baud rate, and how long a line the adapter takes`,
    );
  }

  /** What the lamp says of itself, or what it said last, asked in a line of at least that length. */
  async #who(lines: Lines, length = 0): Promise<string> {
    const line = this.#templates.identify.padStart(length);
    const first = await ask(lines, line);
    let reply: string | null = first;
    let other: string | null = null;
    // An identity has commas; a line without may be the lamp's log, and so may one with them that is not what is known.
    while (reply !== null) {
      if (reply === this.#known) return reply;
      if (reply.includes(',')) other ??= reply;
      if (other !== null && this.#known === null) return other;
      reply = await nextReply(lines, line, logPatience);
    }
    return other ?? first;
  }

  async #use<T>(call: Call, work: (lines: Lines) => Promise<T>): Promise<T> {
    try {
      return await this.within(call, (signal) =>
        this.#session.use(signal, (lines) =>
          this.log ? this.#told(lines, this.log, work) : work(lines),
        ),
      );
    } catch (error) {
      throw halfAnswer(error, this.#session.unended);
    }
  }

  async #told<T>(lines: Lines, log: SendListener, work: (lines: Lines) => Promise<T>): Promise<T> {
    const told = new ToldLines(lines, log, this.clock);
    try {
      return await work(told);
    } finally {
      told.end();
    }
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

/** The next line that says something, or null when none follows within so many seconds. */
async function nextReply(lines: Lines, sent: string, patience: number): Promise<string | null> {
  for (;;) {
    const line = await lines.next(patience);
    if (line === null) return null;
    const text = saying(line, sent);
    if (text !== '') return text;
  }
}
