import { commands } from '../../../harness/cli/commands.ts';
import type { Io } from '../../../harness/cli/common/io.ts';
import { type Help, type HelpPart, helpOf } from '../../../harness/cli/help/help-page.ts';
import { newProgram } from '../../../harness/cli/program.ts';

/** Nobody calls a command here. */
const io: Io = {
  stdout: () => {},
  stderr: () => {},
  env: {},
  cwd: '.',
  terminal: false,
  colour: false,
  columns: 80,
  interrupted: new AbortController().signal,
  exitCode: 0,
};

/** The page of `--help` of every command, and of the commands in it, in the order of `evenfall --help`. */
export async function commandReference(): Promise<string> {
  const program = newProgram(io);
  const sections: string[] = [];
  for (const { name, load } of commands) {
    const command = program.commands.find((one) => one.name() === name);
    if (!command) throw new Error(`the program has no command ${name}`);
    (await load()).register(command, io);
    sections.push(section(helpOf(command), '##'));
    for (const inner of command.commands) sections.push(section(helpOf(inner), '###'));
  }
  return sections.join('\n\n');
}

function section({ called, about, usage, parts }: Help, level: string): string {
  const title = `${level} ${called.replace(/^evenfall /, '')}`;
  const head = `${about.charAt(0).toUpperCase()}${about.slice(1)}.`;
  return [title, head, `\`${usage}\``, ...parts.map(table)].join('\n\n');
}

function table({ heading, rows }: HelpPart): string {
  const lines = rows.map(
    ([flags, text]) => `| \`${cell(flags)}\` | ${cell(text).replaceAll('<', '&lt;')} |`,
  );
  return [`| ${heading ?? 'arguments'} | |`, '|---|---|', ...lines].join('\n');
}

function cell(text: string): string {
  return text.replaceAll('|', '\\|').replace(/\s+/g, ' ');
}
