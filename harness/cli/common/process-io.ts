import { forTerminal } from '../../files/plain-text.ts';
import { disarmed } from '../../report/text/disarmed.ts';
import { inCi } from './in-ci.ts';
import type { Io } from './io.ts';

/** The real process as an Io. The first SIGINT or SIGTERM aborts `interrupted`; the second ends the process at once. */
export function processIo(): Io {
  const { env, stdout, stderr } = process;
  const interrupted = new AbortController();
  const onSignal = (name: NodeJS.Signals): void => {
    if (interrupted.signal.aborted) process.exit(name === 'SIGTERM' ? 143 : 130);
    interrupted.abort(name);
  };
  process.on('SIGINT', onSignal);
  process.on('SIGTERM', onSignal);
  // A reader that went away (`| head`) is not an error of ours.
  stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') process.exit(0);
    throw error;
  });
  const terminal = Boolean(stdout.isTTY);
  return {
    // What is piped goes on as it is: it is data for a program.
    stdout: (text) => void stdout.write(terminal ? forTerminal(text) : text),
    // What is said about strangers' files and lamps lands in the log of a job, which reads it for commands.
    stderr: (text) => void stderr.write(forTerminal(inCi({ env }) ? disarmed(text) : text)),
    env,
    cwd: process.cwd(),
    terminal,
    colour: wantsColour(env, terminal),
    columns: stdout.columns ?? 100,
    interrupted: interrupted.signal,
    exitCode: 0,
  };
}

/** NO_COLOR (present and not empty) beats FORCE_COLOR beats the terminal. */
function wantsColour(env: NodeJS.ProcessEnv, terminal: boolean): boolean {
  if (env['NO_COLOR']) return false;
  if (env['FORCE_COLOR']) return true;
  return terminal && env['TERM'] !== 'dumb';
}
