import { Command, type Option } from 'commander';
import { didYouMean } from '../../files/did-you-mean.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { calledBy, helpPage } from './help-page.ts';

/**
 * A command whose help and whose complaints about the command line are ours. The parser calls these methods where it would
 * print sentences of its own; `error` catches what it says by no method. All throw a Complaint.
 */
export class OwnCommand extends Command {
  override createCommand(name?: string): OwnCommand {
    return new OwnCommand(name).helpCommand(false) as OwnCommand;
  }

  override helpInformation(): string {
    return helpPage(this, this.#columns());
  }

  #columns(): number {
    return this.configureOutput().getOutHelpWidth?.() ?? 80;
  }

  missingArgument(name: string): never {
    const { description = '' } = this.registeredArguments.find((one) => one.name() === name) ?? {};
    return this.#refuse(`expected ${name.toUpperCase()}${about(description)}, found nothing`);
  }

  optionMissingArgument(option: Option): never {
    return this.#refuse(
      `${option.long}: expected a value, as in ${option.flags}, found nothing after it`,
    );
  }

  missingMandatoryOptionValue(option: Option): never {
    return this.#refuse(`expected ${option.flags}${about(option.description)}, found none`);
  }

  _conflictingOption(option: Option, other: Option): never {
    return this.#refuse(`${option.long}: not with ${other.long}; leave one of the two out`);
  }

  unknownOption(flag: string): never {
    const known = [...this.options.flatMap(({ long }) => long ?? []), '--help'];
    return this.#refuse(`there is no option "${flag}"${didYouMean(flag, known)}`);
  }

  _excessArguments(received: readonly string[]): never {
    const most = this.registeredArguments.length;
    const found = received[most] ?? '';
    const expected = most === 0 ? 'no words but options' : `no more than ${most} of them`;
    return this.#refuse(`expected ${expected}, found "${found}" as well`);
  }

  unknownCommand(): never {
    const [found = ''] = this.args;
    const known = this.commands.map((command) => command.name());
    return this.#refuse(`there is no command "${found}"${didYouMean(found, known)}`);
  }

  override error(message: string, options?: { readonly code?: string }): never {
    if (options?.code !== 'commander.invalidArgument') return this.#refuse(message);
    const [, flag, argument, why = message] = invalidValue.exec(message) ?? [];
    const name = flag?.replace(/^-\w, /, '').split(/[ =[<]/)[0] ?? argument?.toUpperCase();
    return this.#refuse(`${name}: ${withChoices(why, message).replace(/\.$/, '')}`);
  }

  #refuse(sentence: string): never {
    const name = calledBy(this);
    const help = ['evenfall', name, '--help'].filter(Boolean).join(' ');
    const where = name === '' ? '' : `${name}: `;
    const end = sentence.endsWith('?') ? '' : '.';
    const list = this.commands.length > 0 ? 'lists the commands' : 'shows how to call it';
    throw new Complaint('usage', `${where}${sentence}${end} ${help} ${list}.`);
  }
}

/** How the parser words a value that an option or an argument does not take. */
const invalidValue =
  /^error: (?:option '([^']*)' argument|command-argument value) '.*?' is invalid(?: for argument '([^']*)')?\. (.*)$/s;

/** A list of choices in our words, with what was found. */
function withChoices(why: string, message: string): string {
  const [, list] = /^Allowed choices are (.*)\.$/s.exec(why) ?? [];
  if (list === undefined) return why;
  const [, found = ''] = /(?:argument|value) '(.*?)' is invalid/s.exec(message) ?? [];
  return `expected one of ${list}, found "${found}"${didYouMean(found, list.split(', '))}`;
}

function about(description: string): string {
  return description === '' ? '' : ` (${description})`;
}
