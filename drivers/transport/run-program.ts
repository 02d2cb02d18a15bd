import { spawn } from 'node:child_process';
import * as z from 'zod';
import { BenchError } from '../../harness/bench/errors.ts';
import { plainLine } from '../../harness/files/plain-text.ts';

/** `command:` of an instrument that a program drives. */
export const commandSetting = z
  .array(z.string(), 'expected a list: the program, then its arguments')
  .min(1, 'expected the program, then its arguments')
  .meta({
    description: 'The program, then its arguments; no shell reads them.',
    examples: [['python3', 'head.py']],
  });

/** More than this on stdout is no answer, bytes. */
const mostOutput = 256 * 1024 * 1024;
/** How much of stderr an error message shows, characters. */
const shownTalk = 200;

export interface ProgramRun {
  readonly name: string;
  /** Program and arguments; no shell reads them. */
  readonly command: readonly string[];
  readonly folder: string;
  /** Written to its stdin, which is then closed. */
  readonly input?: string;
}

/** Runs a program to its end and resolves with its stdout. When the signal aborts it is killed, with no grace. */
export function runProgram(
  { name, command, folder, input = '' }: ProgramRun,
  signal: AbortSignal,
): Promise<Buffer> {
  const [program = '', ...args] = command;
  return new Promise((resolve, reject) => {
    const child = spawn(program, args, { cwd: folder, stdio: 'pipe', shell: false });
    const output: Buffer[] = [];
    let length = 0;
    let talk = '';
    const kill = (): void => void child.kill('SIGKILL');
    const fail = (kind: 'refused' | 'garbled', why: string, cause?: unknown): void => {
      signal.removeEventListener('abort', kill);
      kill();
      reject(new BenchError(kind, name, `${name}: ${why}`, { cause }));
    };
    signal.addEventListener('abort', kill, { once: true });
    if (signal.aborted) kill();
    child.stdout.on('data', (bytes: Buffer) => {
      length += bytes.length;
      if (length > mostOutput) fail('garbled', `${program} wrote more than ${mostOutput} bytes`);
      else output.push(bytes);
    });
    child.stderr.on('data', (bytes: Buffer) => (talk = (talk + bytes).slice(-shownTalk)));
    // A program that ends without reading is told by its exit code.
    child.stdin.on('error', () => {});
    child.stdin.end(input);
    child.on('error', (error) =>
      fail('refused', `${program} did not start (${error.message})`, error),
    );
    child.on('close', (code, killedBy) => {
      signal.removeEventListener('abort', kill);
      if (code === 0) resolve(Buffer.concat(output));
      else {
        const words = plainLine(talk);
        fail('refused', `${program} ended with ${code ?? killedBy}${words ? `: ${words}` : ''}`);
      }
    });
  });
}
