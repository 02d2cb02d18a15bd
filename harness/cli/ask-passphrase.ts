import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';
import type { Io } from './io.ts';

/** The name of the variable that CI hands a passphrase over in. */
export const passphraseVariable = 'EVENFALL_PASSPHRASE';

/** From the environment, or typed on the terminal without being shown. Throws Complaint where there is neither. */
export async function askPassphrase(io: Io, prompt: string): Promise<string> {
  const given = io.env[passphraseVariable];
  if (given !== undefined && given !== '') return given;
  if (!process.stdin.isTTY) {
    const sentence = `expected a passphrase: run this on a terminal, or set ${passphraseVariable}`;
    throw new Complaint(exitCodes.usage, sentence);
  }
  io.stderr(`${prompt}: `);
  try {
    return await typedSecret(io);
  } finally {
    io.stderr('\n');
  }
}

const lineEnds = new Set(['\r', '\n']);
/** Ctrl-C and Ctrl-D: in raw mode the terminal no longer makes a signal and an end of them. */
const cancels = new Set(['\u0003', '\u0004']);
const erases = new Set(['\u007f', '\b']);

/** Reads one line with the terminal's echo off. */
function typedSecret(io: Io): Promise<string> {
  const { stdin } = process;
  return new Promise((resolve, reject) => {
    let typed = '';
    const end = (finish: () => void): void => {
      stdin.off('data', onData);
      stdin.setRawMode(false);
      stdin.pause();
      finish();
    };
    const cancelled = new Complaint(exitCodes.interrupted, 'no passphrase given');
    const onData = (data: Buffer): void => {
      for (const character of data.toString('utf8')) {
        if (lineEnds.has(character)) {
          end(() => resolve(typed));
          return;
        }
        if (cancels.has(character)) {
          end(() => reject(cancelled));
          return;
        }
        if (erases.has(character)) typed = [...typed].slice(0, -1).join('');
        else if (character >= ' ') typed += character;
      }
    };
    if (io.interrupted.aborted) {
      reject(cancelled);
      return;
    }
    stdin.setRawMode(true);
    stdin.on('data', onData);
    stdin.resume();
  });
}
