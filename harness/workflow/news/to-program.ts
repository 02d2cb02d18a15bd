import { spawn } from 'node:child_process';
import type { News } from './news.ts';
import { newsBody } from './news-text.ts';
import type { ProgramTarget } from './target.ts';
import { answered, Undelivered } from './undelivered.ts';

/** How much of stderr is kept, from its end, characters. */
const keptTalk = 4000;
/** What has been written by the end of a program is read within this, ms. */
const lastWords = 1000;
/** EX_TEMPFAIL of sysexits.h: the program asks to be called again. */
const tryAgain = 75;

/**
 * Runs a program of the user's, in the folder of the news file, and hands it the news as one line of JSON on its stdin. It is delivered when
 * the program ends with 0. One that takes too long is killed, with no grace.
 * Throws Undelivered with its exit code and the last line of its stderr; it may be tried again after exit code 75 and a timeout.
 */
export function toProgram(
  news: News,
  { command, within }: ProgramTarget,
  folder: string,
): Promise<void> {
  const [program = '', ...args] = command;
  return new Promise((resolve, reject) => {
    const late = AbortSignal.timeout(1000 * within);
    const child = spawn(program, args, {
      cwd: folder,
      stdio: ['pipe', 'ignore', 'pipe'],
      shell: false,
      signal: late,
      killSignal: 'SIGKILL',
    });
    let talk = '';
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      talk = (talk + text).slice(-keptTalk);
    });
    // A program that ends without reading is told by its exit code.
    child.stdin.on('error', () => {});
    child.stdin.end(`${newsBody(news)}\n`);
    child.on('error', (error) => {
      if (late.aborted)
        reject(new Undelivered(`${program} took longer than ${within} s, and was ended`, true));
      else
        reject(
          new Undelivered(`${program} did not start (${error.message})`, false, { cause: error }),
        );
    });
    // What it has left running may hold its stderr open.
    child.on('exit', () => {
      setTimeout(() => child.stderr.destroy(), lastWords).unref();
    });
    child.on('close', (code, killedBy) => {
      if (code === 0) resolve();
      else reject(ended(program, code ?? killedBy, talk));
    });
  });
}

function ended(program: string, how: number | string | null, talk: string): Undelivered {
  return new Undelivered(
    `${program} ended with ${how}${answered(lastLine(talk))}`,
    how === tryAgain,
  );
}

function lastLine(text: string): string {
  return text.trimEnd().split('\n').at(-1) ?? '';
}
