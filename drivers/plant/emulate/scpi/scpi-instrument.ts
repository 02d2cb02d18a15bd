import { headerPattern } from './header-pattern.ts';
import { type MessageUnit, readMessage } from './program-message.ts';
import { errorEntry, eventBit, ScpiError } from './scpi-error.ts';

/** What a command is given. */
export interface ScpiCall {
  readonly args: readonly string[];
  readonly suffixes: readonly number[];
}

/** Text, or bytes that go out as a definite block. */
export type ScpiAnswer = string | Uint8Array;

export interface ScpiCommand {
  /** As manuals print it; see headerPattern. */
  readonly header: string;
  set?(call: ScpiCall): void | Promise<void>;
  ask?(call: ScpiCall): ScpiAnswer | Promise<ScpiAnswer>;
}

export interface ScpiModel {
  /** Maker, model, serial, firmware. */
  readonly identity: string;
  readonly commands: readonly ScpiCommand[];
  /** To the settings of power-on. */
  reset(): void | Promise<void>;
  /** Forgets its own latched status, beside the queue of errors. */
  clear?(): void;
  /** Resolves when no operation is pending. */
  finished(): Promise<void>;
  close?(): void;
}

const queueLength = 20;

interface Entry {
  readonly header: (header: string) => number[] | null;
  readonly command: ScpiCommand;
}

/** An instrument that speaks SCPI: common commands, error queue and status by IEEE 488.2, the rest by its model. */
export class ScpiInstrument {
  readonly #model: ScpiModel;
  readonly #entries: readonly Entry[];
  #errors: string[] = [];
  #events = 128;
  #eventMask = 0;
  #serviceMask = 0;
  /** An identity that is not its own. */
  posing: string | null = null;

  constructor(model: ScpiModel) {
    this.#model = model;
    this.#entries = [...this.#common(), ...model.commands].map((command) => ({
      header: headerPattern(command.header),
      command,
    }));
  }

  /** Carries a program message out; the answer without its end of line, or null where nothing was asked. */
  async execute(line: string): Promise<Buffer | null> {
    const answers: Buffer[] = [];
    for (const unit of readMessage(line)) {
      try {
        const answer = await this.#carryOut(unit);
        if (answer !== null) answers.push(encodeAnswer(answer));
      } catch (error) {
        if (!(error instanceof ScpiError)) throw error;
        this.fail(error.code, error.message);
        // A command error discards the rest of the message.
        if (error.code > -200) break;
      }
    }
    if (answers.length === 0) return null;
    return Buffer.concat(
      answers.flatMap((answer, k) => (k ? [Buffer.from(';'), answer] : [answer])),
    );
  }

  /** Puts an error into the queue. */
  fail(code: number, detail = ''): void {
    this.#events |= eventBit(code);
    if (this.#errors.length < queueLength) this.#errors.push(errorEntry(code, detail));
    else this.#errors[queueLength - 1] = errorEntry(-350);
  }

  /** Power was lost and came back: settings, queue and masks are gone. */
  async restart(): Promise<void> {
    await this.#model.reset();
    this.#errors = [];
    this.#events = 0;
    this.#eventMask = 0;
    this.#serviceMask = 0;
    this.fail(-500);
  }

  async #carryOut({ header, query, args }: MessageUnit): Promise<ScpiAnswer | null> {
    for (const { header: match, command } of this.#entries) {
      const suffixes = match(header);
      if (!suffixes) continue;
      const call = { args, suffixes };
      if (query && command.ask) return command.ask(call);
      if (!query && command.set) {
        await command.set(call);
        return null;
      }
    }
    throw new ScpiError(-113, header);
  }

  #common(): ScpiCommand[] {
    const nextError = (): string => this.#errors.shift() ?? errorEntry0;
    return [
      { header: '*IDN', ask: () => this.posing ?? this.#model.identity },
      { header: '*CLS', set: () => this.#clear() },
      { header: '*RST', set: () => this.#model.reset() },
      { header: '*TST', ask: () => '0' },
      { header: '*WAI', set: () => this.#model.finished() },
      {
        header: '*OPC',
        set: () => void this.#model.finished().then(() => (this.#events |= 1)),
        ask: async () => {
          await this.#model.finished();
          return '1';
        },
      },
      {
        header: '*ESR',
        ask: () => {
          const events = this.#events;
          this.#events = 0;
          return String(events);
        },
      },
      {
        header: '*ESE',
        set: (call) => void (this.#eventMask = register(call)),
        ask: () => String(this.#eventMask),
      },
      {
        header: '*SRE',
        set: (call) => void (this.#serviceMask = register(call)),
        ask: () => String(this.#serviceMask),
      },
      { header: '*STB', ask: () => String(this.#status()) },
      { header: 'SYSTem:ERRor[:NEXT]', ask: nextError },
      { header: 'SYSTem:ERRor:COUNt', ask: () => String(this.#errors.length) },
      { header: 'SYSTem:VERSion', ask: () => '1999.0' },
    ];
  }

  #clear(): void {
    this.#model.clear?.();
    this.#errors = [];
    this.#events = 0;
  }

  #status(): number {
    const summary = (this.#errors.length > 0 ? 4 : 0) | (this.#events & this.#eventMask ? 32 : 0);
    return summary & this.#serviceMask ? summary | 64 : summary;
  }
}

const errorEntry0 = '0,"No error"';

/** Block data: `#`, number of digits, number of bytes, bytes (IEEE 488.2, 8.7.9). */
function encodeAnswer(answer: ScpiAnswer): Buffer {
  if (typeof answer === 'string') return Buffer.from(answer, 'latin1');
  const length = String(answer.length);
  return Buffer.concat([Buffer.from(`#${length.length}${length}`), answer]);
}

function register(call: ScpiCall): number {
  const value = numberArg(call);
  if (!Number.isInteger(value) || value < 0 || value > 255)
    throw new ScpiError(-222, String(value));
  return value;
}

/** The only argument, as a number. */
export function numberArg({ args }: ScpiCall): number {
  const text = onlyArg({ args });
  const value = Number(text);
  if (text === '' || Number.isNaN(value)) throw new ScpiError(-104, text);
  return value;
}

export function onlyArg({ args }: Pick<ScpiCall, 'args'>): string {
  const [text] = args;
  if (text === undefined) throw new ScpiError(-109);
  if (args.length > 1) throw new ScpiError(-108, args[1]);
  return text;
}

/** A boolean parameter. */
export function isOn(word: string): boolean {
  if (/^(1|ON)$/i.test(word)) return true;
  if (/^(0|OFF)$/i.test(word)) return false;
  throw new ScpiError(-224, word);
}
