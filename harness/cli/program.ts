import { harnessVersion } from '../workflow/version.ts';
import { commands } from './commands.ts';
import type { Io } from './common/io.ts';
import { OwnCommand } from './help/own-command.ts';

/** The program with all its commands by name; they have no options before they are loaded. */
export function newProgram(io: Pick<Io, 'stdout' | 'stderr' | 'columns'>): OwnCommand {
  const program = new OwnCommand('evenfall');
  program
    .description('prove that a build of luminaire firmware dims, fades and mixes its light truly')
    .version(harnessVersion, '-V, --version', 'print the version')
    .configureOutput({
      writeOut: io.stdout,
      writeErr: io.stderr,
      getOutHelpWidth: () => io.columns,
    })
    .helpCommand(false)
    .exitOverride();
  for (const { name, about } of commands) program.command(name).description(about);
  return program;
}
