import { StringDecoder } from 'node:string_decoder';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';

/** The variables that CI hands passphrases over in: of the key as it is, and a new one for it. */
const passphraseVariable = 'EVENFALL_PASSPHRASE';
const newPassphraseVariable = 'EVENFALL_NEW_PASSPHRASE';

/** Throws where a new passphrase will not do. */
type Refuse = (passphrase: string) => Promise<void>;

/** From the environment, or typed on the terminal without being shown. Throws Complaint where there is neither. */
export async function askPassphrase(io: Io, prompt: string): Promise<string> {
  return given(io, passphraseVariable) ?? (await onTerminal(io, (ask) => ask(prompt)));
}

/**
 * The passphrase of a new key: from the environment, or typed twice, without being shown. Throws Complaint where there is
 * neither, or where the second is not the first.
 */
export async function askNewPassphrase(io: Io, refuse: Refuse): Promise<string> {
  const known = given(io, passphraseVariable);
  if (known === undefined)
    return onTerminal(io, (ask) => typeTwice(ask, 'Passphrase for the new key', refuse));
  await refuse(known);
  return known;
}

/**
 * A new passphrase for a key that has one, or has none (`old` null); `opened` throws where the old one is wrong. Each comes from its
 * variable, or is typed.
 */
export async function askOtherPassphrase(
  io: Io,
  old: { readonly prompt: string; readonly opened: (passphrase: string) => void } | null,
  refuse: Refuse,
): Promise<{ readonly old: string; readonly new: string }> {
  const [known, fresh] = [given(io, passphraseVariable), given(io, newPassphraseVariable)];
  if (fresh !== undefined) await refuse(fresh);
  const isTyped = fresh === undefined || (old !== null && known === undefined);
  const work = async (ask: Ask) => {
    const before = old === null ? '' : (known ?? (await ask(old.prompt)));
    old?.opened(before);
    return { old: before, new: fresh ?? (await typeTwice(ask, 'New passphrase', refuse)) };
  };
  return isTyped ? onTerminal(io, work, newPassphraseVariable) : work(async () => '');
}

async function typeTwice(ask: Ask, prompt: string, refuse: Refuse): Promise<string> {
  const typed = await ask(prompt);
  await refuse(typed);
  if ((await ask('Repeat the passphrase')) === typed) return typed;
  throw new Complaint('usage', 'the two passphrases differ; no key was written');
}

function given(io: Io, variable: string): string | undefined {
  return io.env[variable] || undefined;
}

/** Shows a prompt; resolves with the line that is typed. */
type Ask = (prompt: string) => Promise<string>;

/**
 * Lets `work` ask for lines on the terminal. The echo is off before the first prompt appears and until `work` is done: an
 * answer that comes at once, or two pasted together, are never shown.
 */
async function onTerminal<Result>(
  io: Io,
  work: (ask: Ask) => Promise<Result>,
  more?: string,
): Promise<Result> {
  const { stdin } = process;
  if (!stdin.isTTY) {
    const variables = more ? `${passphraseVariable} and ${more}` : passphraseVariable;
    const sentence = `expected a passphrase: run this on a terminal, or set ${variables}`;
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
