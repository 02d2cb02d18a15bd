import { StringDecoder } from 'node:string_decoder';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';

/** The name of the variable that CI hands a passphrase over in. */
const passphraseVariable = 'EVENFALL_PASSPHRASE';

/** From the environment, or typed on the terminal without being shown. Throws Complaint where there is neither. */
export async function askPassphrase(io: Io, prompt: string): Promise<string> {
  return fromEnvironment(io) ?? (await typedOnTerminal(io, [prompt]))[0]!;
}

/**
 * A new passphrase: from the environment, or typed twice, without being shown. `refuse` throws where it will not do.
 * Throws Complaint where there is neither, or where the second is not the first.
 */
export async function askNewPassphrase(
  io: Io,
  prompt: string,
  refuse: (passphrase: string) => void,
): Promise<string> {
  const given = fromEnvironment(io);
  if (given !== undefined) {
    refuse(given);
    return given;
  }
  const [first, second] = await typedOnTerminal(io, [prompt, 'Repeat the passphrase'], refuse);
  if (second !== first) {
    throw new Complaint('usage', 'the two passphrases differ; no key was made');
  }
  return first!;
}

function fromEnvironment(io: Io): string | undefined {
  const given = io.env[passphraseVariable];
  return given === '' ? undefined : given;
}

/**
 * One line for each prompt, each given to `accept` (which may throw) before the next is asked for.
 * The echo is off before the first prompt appears and until the last line is there: an
 * answer that comes at once, or two pasted together, are never shown.
 */
async function typedOnTerminal(
  io: Io,
  prompts: readonly string[],
  accept: (line: string) => void = () => {},
): Promise<string[]> {
  const { stdin } = process;
  if (!stdin.isTTY) {
    const sentence = `expected a passphrase: run this on a terminal, or set ${passphraseVariable}`;
    throw new Complaint('usage', sentence);
  }
  if (io.interrupted.aborted) throw noPassphrase();
  const keys = new Keys();
  // A letter of several bytes may come in two pieces.
  const letters = new StringDecoder('utf8');
  const onData = (data: Buffer): void => keys.push(letters.write(data));
  stdin.setRawMode(true);
  stdin.on('data', onData);
  stdin.resume();
  try {
    const lines: string[] = [];
    for (const prompt of prompts) {
      io.stderr(`${prompt}: `);
      try {
        lines.push(await secretLine(keys));
      } finally {
        io.stderr('\n');
      }
      accept(lines.at(-1)!);
    }
    return lines;
  } finally {
    stdin.off('data', onData);
    stdin.setRawMode(false);
    stdin.pause();
  }
}

const lineEnds = new Set(['\r', '\n']);
/** Ctrl-C and Ctrl-D: in raw mode the terminal no longer makes a signal and an end of them. */
const cancels = new Set(['\u0003', '\u0004']);
const erases = new Set(['\u007f', '\b']);

function noPassphrase(): Complaint {
  return new Complaint('interrupted', 'no passphrase given');
}

async function secretLine(keys: Keys): Promise<string> {
  let typed: string[] = [];
  for (;;) {
    const key = await keys.next();
    if (lineEnds.has(key)) return typed.join('');
    if (cancels.has(key)) throw noPassphrase();
    if (erases.has(key)) typed = typed.slice(0, -1);
    else if (key >= ' ') typed.push(key);
  }
}

/** Keys in the order of their arrival; those that come early wait for whoever asks next. */
class Keys {
  readonly #early: string[] = [];
  #waiting: ((key: string) => void) | undefined;

  push(text: string): void {
    this.#early.push(...text);
    if (!this.#waiting || this.#early.length === 0) return;
    const resolve = this.#waiting;
    this.#waiting = undefined;
    resolve(this.#early.shift()!);
  }

  next(): Promise<string> {
    const early = this.#early.shift();
    if (early !== undefined) return Promise.resolve(early);
    return new Promise((resolve) => {
      this.#waiting = resolve;
    });
  }
}
