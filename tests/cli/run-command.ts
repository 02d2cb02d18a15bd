import { complain } from '../../harness/cli/common/complaints.ts';
import { exitCodes } from '../../harness/cli/common/exit-codes.ts';
import type { Io, Register } from '../../harness/cli/common/io.ts';
import { OwnCommand } from '../../harness/cli/help/own-command.ts';
import { Complaint } from '../../harness/workflow/complaint.ts';

export interface Ran {
  readonly exitCode: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs one command in this process, as the program would, with everything it prints in memory. */
export async function runCommand(
  register: Register,
  args: readonly string[],
  changes: Partial<Io> = {},
): Promise<Ran> {
  let [stdout, stderr] = ['', ''];
  const io: Io = {
    stdout: (text) => void (stdout += text),
    stderr: (text) => void (stderr += text),
    env: {},
    cwd: process.cwd(),
    terminal: false,
    colour: false,
    columns: 100,
    interrupted: new AbortController().signal,
    exitCode: 0,
    ...changes,
  };
  const command = new OwnCommand('command')
    .exitOverride()
    .configureOutput({ writeOut: io.stdout, writeErr: io.stderr });
  register(command, io);
  try {
    await command.parseAsync([...args], { from: 'user' });
  } catch (error) {
    if (error instanceof Complaint) {
      io.exitCode = complain(error, io);
    } else if ((error as { code?: string }).code?.startsWith('commander.')) {
      io.exitCode = exitCodes.usage;
    } else throw error;
  }
  return { exitCode: io.exitCode, stdout, stderr };
}
