import type { Command } from 'commander';

/** What a command may touch of the process it runs in; tests hand in their own. */
export interface Io {
  /** Results. Always ends lines itself. */
  stdout(text: string): void;
  /** Talk: progress, warnings, errors. */
  stderr(text: string): void;
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly cwd: string;
  /** stdout is a terminal; false in pipes and CI. */
  readonly terminal: boolean;
  /** Colours are wanted (terminal, no NO_COLOR, or FORCE_COLOR). */
  readonly colour: boolean;
  readonly columns: number;
  /** Aborts on the first SIGINT or SIGTERM; its reason is the signal's name. */
  readonly interrupted: AbortSignal;
  /** Set by the command; the process ends with it. */
  exitCode: number;
}

/** Resolves when the signal aborts, or at once where it has. */
export function aborted(signal: AbortSignal): Promise<void> {
  if (signal.aborted) return Promise.resolve();
  return new Promise((done) => signal.addEventListener('abort', () => done(), { once: true }));
}

/** A command's file exports one of these as `register`: it adds options and an action to `command`. */
export type Register = (command: Command, io: Io) => void;
