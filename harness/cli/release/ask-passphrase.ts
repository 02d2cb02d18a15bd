import { StringDecoder } from 'node:string_decoder';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';

/** The name of the variable that CI hands a passphrase over in. */
const passphraseVariable = 'EVENFALL_PASSPHRASE';

/** From the environment, or typed on the terminal without being shown. Throws Complaint where there is neither. */
export async function askPassphrase(io: Io, prompt: string): Promise<string> {
  return fromEnvironment(io) ?? (await onTerminal(io, (ask) => ask(prompt)));
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
  return onTerminal(io, async (ask) => {
    const typed = await ask(prompt);
    refuse(typed);
    if ((await ask('Repeat the passphrase')) === typed) return typed;
    throw new Complaint('usage', 'the two passphrases differ; no key was made');
  });
}

function fromEnvironment(io: Io): string | undefined {
  const given = io.env[passphraseVariable];
  return given === '' ? undefined : given;
}

/** Shows a prompt; resolves with the line that is typed. */
type Ask = (prompt: string) => Promise<string>;

/**
 * Lets `work` ask for lines on the terminal. The echo is off before the first prompt appears and until `work` is done: an
 * answer that comes at once, or two pasted together, are never shown.
 */
async function onTerminal(io: Io, work: (ask: Ask) => Promise<string>): Promise<string> {
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
    return await work(async (prompt) => {
      io.stderr(`${prompt}: `);
      try {
        return await secretLine(keys);
      } finally {
        io.stderr('\n');
      }
    });
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
    const resolve = this.#waiting;
    const key = resolve && this.#early.shift();
    if (key === undefined) return;
    this.#waiting = undefined;
    resolve?.(key);
  }

  next(): Promise<string> {
    const early = this.#early.shift();
    if (early !== undefined) return Promise.resolve(early);
    return new Promise((resolve) => {
      this.#waiting = resolve;
    });
  }
}
