import type { Argument, Command, Option } from 'commander';
import { wrap } from '../../report/text/wrap.ts';
import { guides } from './guides.ts';

/** A page is for reading: no line is longer, however wide the terminal is. */
const widest = 80;
/** Flags longer than this stand on a line of their own. */
const widestFlags = 26;

/** The words that call a command: `rig list`; nothing for the program itself. */
export function calledBy(command: Command): string {
  const { parent } = command;
  if (!parent) return '';
  return [calledBy(parent), command.name()].filter(Boolean).join(' ');
}

/** What there is to say of a command. */
export interface Help {
  /** `evenfall rig list` */
  readonly called: string;
  readonly about: string;
  readonly usage: string;
  readonly parts: readonly HelpPart[];
}

/** Rows under a heading; those of the arguments have none. */
export interface HelpPart {
  readonly heading: string | null;
  readonly rows: readonly Row[];
}

type Row = readonly [flags: string, text: string];

/** What the command is for, how it is called, options by what they are for, examples, exit codes. */
export function helpOf(command: Command): Help {
  const name = calledBy(command);
  const guide = guides[name];
  const called = ['evenfall', name].filter(Boolean).join(' ');
  const exits = [...(guide?.exits ?? [])].sort(([a], [b]) => a - b);
  const parts = [
    { heading: null, rows: command.registeredArguments.map(argumentRow) },
    ...optionParts(command),
    { heading: 'commands', rows: command.commands.map(commandRow) },
    { heading: 'examples', rows: (guide?.examples ?? []).map(exampleRow) },
    { heading: 'exit codes', rows: exits.map(exitRow) },
  ];
  return {
    called,
    about: command.description(),
    usage: usageOf(command, called),
    parts: parts.filter(({ rows }) => rows.length > 0),
  };
}

/** What `--help` prints. */
export function helpPage(command: Command, columns: number): string {
  const width = Math.max(40, Math.min(columns, widest));
  const { called, about, usage, parts } = helpOf(command);
  const blocks = [
    wrap(`${called}: ${about}.`, width, '', '  '),
    wrap(`to call it: ${usage}`, width, '', '    '),
    ...parts.map(({ heading, rows: own }) => [...(heading ? [heading] : []), ...rows(own, width)]),
    command.commands.length > 0
      ? wrap(`${called} COMMAND --help tells more of each.`, width, '')
      : [],
  ];
  return `${blocks
    .filter((lines) => lines.length > 0)
    .map((lines) => `${lines.join('\n')}\n`)
    .join('\n')}`;
}

function usageOf(command: Command, called: string): string {
  const takes = command.registeredArguments.map(argumentName).join(' ');
  const inner = command.commands.length > 0 ? 'COMMAND' : '';
  const options = command.options.length > 0 ? '[options]' : '';
  return [called, inner, takes, options].filter(Boolean).join(' ');
}

/** `PATHS...`, in brackets where it may be left out. */
function argumentName(argument: Argument): string {
  const name = `${argument.name().toUpperCase()}${argument.variadic ? '...' : ''}`;
  return argument.required ? name : `[${name}]`;
}

function argumentRow(argument: Argument): Row {
  const usual = argument.defaultValueDescription;
  return [
    argument.name().toUpperCase(),
    `${argument.description}${usual === undefined ? '' : ` (default: ${usual})`}`,
  ];
}

function optionRow(option: Option): Row {
  const { flags, description, mandatory } = option;
  const need = mandatory ? ' (must be given)' : '';
  return [flags, `${description}${choicesText(option)}${usualText(option)}${need}`];
}

function choicesText({ argChoices }: Option): string {
  return argChoices ? `: ${argChoices.join(', ')}` : '';
}

/** Only what a person could have typed; what holds otherwise is part of the description. */
function usualText({ defaultValue, defaultValueDescription: words, description }: Option): string {
  if (description.includes('(default')) return '';
  const usual = words ?? (Array.isArray(defaultValue) ? undefined : defaultValue);
  return usual === undefined || typeof usual === 'boolean' ? '' : ` (default: ${usual})`;
}

function optionParts(command: Command): HelpPart[] {
  const groups = guides[calledBy(command)]?.groups ?? [];
  const named = new Set(groups.flatMap(([, options]) => options));
  const own = (name: string): Option[] => command.options.filter((one) => one.long === `--${name}`);
  const listed = groups.map(([heading, options]) => {
    return { heading, rows: options.flatMap(own).map(optionRow) };
  });
  const rest = command.options.filter(
    ({ long, hidden }) => !hidden && !named.has(long?.slice(2) ?? ''),
  );
  const more = [...rest.map(optionRow), ['-h, --help', 'print this page'] as const];
  return [...listed, { heading: groups.length > 0 ? 'and' : 'options', rows: more }];
}

function commandRow(command: Command): Row {
  return [command.name(), command.description()];
}

function exampleRow([line, does]: Row): Row {
  return [`evenfall ${line}`, does];
}

function exitRow([code, means]: readonly [number, string]): Row {
  return [String(code), means];
}

/** Flags in one column, what they do in the next; long flags have a line to themselves. */
function rows(list: readonly Row[], width: number): string[] {
  const column = Math.min(widestFlags, Math.max(0, ...list.map(([flags]) => flags.length)));
  const indent = ' '.repeat(column + 4);
  return list.flatMap(([flags, text]) => {
    const beside = `  ${flags.padEnd(column)}  `;
    if (flags.length <= column) return wrap(text, width, beside, indent);
    return [...wrap(flags, width, '  ', '      '), ...wrap(text, width, indent)];
  });
}
