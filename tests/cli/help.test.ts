import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Option } from 'commander';
import { beforeAll, describe, expect, it } from 'vitest';
import { commands } from '../../harness/cli/commands.ts';
import type { Io } from '../../harness/cli/common/io.ts';
import { guides } from '../../harness/cli/help/guides.ts';
import { calledBy, helpPage } from '../../harness/cli/help/help-page.ts';
import { OwnCommand } from '../../harness/cli/help/own-command.ts';
import { newProgram } from '../../harness/cli/program.ts';
import { Complaint } from '../../harness/workflow/complaint.ts';

const io: Io = {
  stdout: () => {},
  stderr: () => {},
  env: {},
  cwd: process.cwd(),
  terminal: false,
  colour: false,
  columns: 80,
  interrupted: new AbortController().signal,
  exitCode: 0,
};

type Called = OwnCommand['commands'][number];

/** The whole program, with every command loaded. */
async function wholeProgram(): Promise<OwnCommand> {
  const program = newProgram(io);
  for (const { name, load } of commands) {
    const command = program.commands.find((one) => one.name() === name);
    if (command) (await load()).register(command, io);
  }
  return program;
}

function leaves(command: Called): Called[] {
  return command.commands.length === 0 ? [command] : command.commands.flatMap(leaves);
}

let program: OwnCommand;
let all: Called[];
beforeAll(async () => {
  program = await wholeProgram();
  all = leaves(program);
}, 600_000);

/** Words of the parser itself, as its sources have them. */
const stock =
  /Usage:|Options:|Arguments:|Commands:|Global Options|display help|output the version|\berror: |Allowed choices|choices:|\(env:|\(preset:|required argument|required option|too many arguments/;

/** The words of a line as a shell would part them. */
function words(line: string): string[] {
  return (line.match(/"[^"]*"|\S+/g) ?? []).map((word) => word.replaceAll('"', ''));
}

/** What stands behind the flags of an option: with a letter there, they only begin another's. */
function isOwnLine(rest: string, place: number): boolean {
  return place === 0 || /^\s/.test(rest);
}

describe('the help of every command', () => {
  it('says what it is for, with two examples and its exit codes, in 80 columns and without a word of the parser', () => {
    expect(all.length).toBeGreaterThan(22);
    for (const command of [program, ...program.commands, ...all]) {
      const page = helpPage(command, 80);
      const name = calledBy(command);
      expect(page).toMatch(new RegExp(`^evenfall${name && ` ${name}`}: \\S`));
      expect(page).not.toMatch(stock);
      expect(page).not.toContain('\u001b');
      for (const line of page.split('\n')) expect([...line].length).toBeLessThanOrEqual(80);
    }
    for (const command of all) {
      const page = helpPage(command, 80);
      const [, examples = ''] = page.split('\nexamples\n');
      expect(examples.match(/^ {2}evenfall /gm), calledBy(command)).toHaveLength(2);
      expect(page).toContain('\nexit codes\n');
    }
  });

  it('lists each option once, in a group, and no group names one that is not there', () => {
    expect(Object.keys(guides).sort()).toEqual(all.map(calledBy).sort());
    for (const command of all) {
      const grouped = guides[calledBy(command)]?.groups.flatMap(([, options]) => options) ?? [];
      const own = command.options.flatMap(({ long, hidden }) =>
        hidden ? [] : (long?.slice(2) ?? []),
      );
      expect(grouped.toSorted(), calledBy(command)).toEqual(own.toSorted());
      const page = helpPage(command, 80);
      for (const { flags, hidden } of command.options)
        if (!hidden) expect(page.split(`\n  ${flags}`).filter(isOwnLine)).toHaveLength(2);
    }
  });

  it('shows examples that the command takes', () => {
    for (const command of all) {
      const name = words(calledBy(command));
      for (const [line] of guides[calledBy(command)]?.examples ?? []) {
        const args = words(line);
        expect(args.slice(0, name.length)).toEqual(name);
        const { operands, unknown } = command.parseOptions(args.slice(name.length));
        expect(unknown, line).toEqual([]);
        const takes = command.registeredArguments;
        expect(operands.length, line).toBeGreaterThanOrEqual(
          takes.filter((a) => a.required).length,
        );
        if (!takes.some((argument) => argument.variadic))
          expect(operands.length, line).toBeLessThanOrEqual(takes.length);
      }
    }
  });
});

/** How each of the parser's errors is met, and what is said of it. */
const mistakes: Readonly<Record<string, readonly [args: readonly string[], says: string]>> = {
  unknownOption: [
    ['run', '--tga', 'x'],
    'run: there is no option "--tga"; did you mean "--tag"? evenfall run --help shows',
  ],
  unknownCommand: [
    ['reprot'],
    'there is no command "reprot"; did you mean "report"? evenfall --help lists the commands.',
  ],
  missingArgument: [
    ['report'],
    'report: expected RUN (a folder, an id, or latest), found nothing.',
  ],
  optionMissingArgument: [
    ['run', '--jobs'],
    'run: --jobs: expected a value, as in --jobs <number>, found nothing after it.',
  ],
  missingMandatoryOptionValue: [['keys', 'new'], 'keys new: expected --out <file> ('],
  excessArguments: [
    ['keys', 'passphrase', 'a', 'b'],
    'keys passphrase: expected no more than 1 of them, found "b" as well.',
  ],
  invalidArgument: [
    ['run', '--jobs', '0'],
    'run: --jobs: expected a whole number from 1, found "0".',
  ],
};

describe('a mistake on the command line', () => {
  it.each(Object.entries(mistakes))(
    'of the kind %s is said in our words, with what to do',
    async (_, [args, says]) => {
      const refused = await refusal(await wholeProgram(), args);
      expect(refused).toContain(says);
      expect(refused).not.toMatch(stock);
      expect(refused).toContain('--help');
    },
  );

  it('in a value of a list names the list, and the nearest', async () => {
    expect(await refusal(await wholeProgram(), ['report', 'x', '--format', 'jnuit'])).toContain(
      'report: --format: expected one of summary, html, junit, junit-extended, markdown, annotations, code-quality, openmetrics, json, pdf, found "jnuit"; did you mean "junit"?',
    );
  });

  it('of two options that exclude each other names both', async () => {
    const command = new OwnCommand('evenfall')
      .addOption(new Option('--one').conflicts('two'))
      .option('--two')
      .action(() => {});
    expect(await refusal(command, ['--one', '--two'])).toContain('--one: not with --two');
  });

  it('has no kind that the parser knows and this test does not', () => {
    const folder = join(dirname(fileURLToPath(import.meta.resolve('commander'))), 'lib');
    const sources = readdirSync(folder).map((name) => readFileSync(join(folder, name), 'utf8'));
    const codes = sources.flatMap((text) => text.match(/'commander\.\w+'/g) ?? []);
    const kinds = [...new Set(codes.map((code) => code.slice(11, -1)))];
    // Help and version are asked for; subcommands that are programs of their own do not exist here; `error` is for others to call.
    const noMistake = ['help', 'helpDisplayed', 'version', 'executeSubCommandAsync', 'error'];
    const met = [...Object.keys(mistakes), 'conflictingOption', ...noMistake];
    expect(kinds.sort()).toEqual(met.sort());
  });
});

async function refusal(command: OwnCommand, args: readonly string[]): Promise<string> {
  try {
    await command.parseAsync([...args], { from: 'user' });
  } catch (error) {
    if (error instanceof Complaint) return error.message;
    throw error;
  }
  throw new Error(`${args.join(' ')} was not refused`);
}
