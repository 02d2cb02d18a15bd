import type { ConsoleLink } from '../../../harness/bench/lamp.ts';
import type {
  Call,
  Identity,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
} from '../../../harness/bench/ports.ts';
import { plainLine } from '../../../harness/files/plain-text.ts';
import { fadeLine, isOk, readIdentity, setLine } from '../../console/command-line.ts';
import { LampLinkBase } from './lamp-link-base.ts';
import type { LampLinkParts } from './lamp-link-parts.ts';

/** Bits on the line for a byte: start, eight, stop. */
const bitsPerByte = 10;
/** Seconds that a lamp may take to answer a line. */
const replyWait = 0.5;
/** Seconds from look to look for a reply that is late. */
const replyPoll = 1e-3;

/** The lamp's console on a simulated serial line; every byte takes its time. */
export class PlantConsoleLink extends LampLinkBase implements LampLink {
  readonly #console: ConsoleLink;
  readonly #channels: readonly string[];
  #heard = '';
  /** Instant at which the line is free again, s. */
  #free = 0;

  constructor(parts: LampLinkParts, console: ConsoleLink) {
    super(parts, 'console');
    this.#console = console;
    this.#channels = parts.lamp.channels.map(({ channel }) => channel);
    parts.port.listen((link, byte) => {
      if (link === 'console') this.#heard += String.fromCharCode(byte);
    });
  }

  override async identify(call: Call): Promise<Identity> {
    return readIdentity(await this.#ask(this.#console.identify, call));
  }

  async set(target: LampTarget, call: Call): Promise<void> {
    await this.#order(setLine(this.#console, this.#channels, target), call);
  }

  async fade(target: LampTarget, over: number, call: Call): Promise<void> {
    await this.#order(fadeLine(this.#console, this.#channels, target, over), call);
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    if (message.link !== 'console')
      throw this.error('unsupported', `a ${message.link} message was asked for; it carries lines`);
    return { text: await this.#ask(message.line, call) };
  }

  /** A garbled line, and the line end that closes it; refusals are not heard. */
  async noise(bytes: Uint8Array, call: Call): Promise<void> {
    this.open(call);
    await this.until(this.#transmit(Uint8Array.of(...bytes, 0x0a)), call);
  }

  override async reset(call: Call): Promise<void> {
    await this.#order(this.#console.reset, call);
  }

  async safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    await this.#order(this.#console.off, call);
    return { confirmed: true };
  }

  async #order(line: string, call: Call): Promise<void> {
    const reply = await this.#ask(line, call);
    if (!isOk(this.#console, reply))
      throw this.error(
        'refused',
        `"${line}" was sent, "${this.#console.ok}" expected, "${reply}" came back`,
      );
  }

  /** Sends a line; resolves with the lamp's next line, at the instant at which the command had gone out if it is there by then. */
  async #ask(line: string, call: Call): Promise<string> {
    this.open(call);
    this.#heard = '';
    const sent = this.#transmit(new TextEncoder().encode(`${line}\n`));
    await this.until(sent, call);
    for (let waited = 0; waited < replyWait; waited += replyPoll) {
      const end = this.#heard.indexOf('\n');
      if (end >= 0) return plainLine(this.#heard.slice(0, end));
      await this.until(this.port.time.now() + replyPoll, call);
    }
    throw this.error(
      'timeout',
      `"${plainLine(line)}" was sent, an answer within ${replyWait} s expected, none came; is the lamp powered?`,
    );
  }

  /** Puts bytes on the wire, returns the instant at which its last byte is over. */
  #transmit(bytes: Uint8Array): number {
    const { lost, late } = this.nextMessage();
    const perByte = bitsPerByte / this.#console.baud;
    const start = Math.max(this.port.time.now(), this.#free);
    this.#free = start + bytes.length * perByte;
    if (lost) return this.#free;
    bytes.forEach((byte, index) => {
      const at = start + (index + 1) * perByte + late;
      this.port.deliver(at, { link: 'console', byte }, index === bytes.length - 1);
    });
    return this.#free;
  }
}
