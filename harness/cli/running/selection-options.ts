import { type Command, InvalidArgumentError, Option } from 'commander';
import type { Part } from '../../workflow/inputs/shard.ts';
import { repeatedOption } from '../common/options.ts';

/** Which claims are run, and of those which part. */
export function addSelectionOptions(command: Command): Command {
  return addClaimOptions(command).addOption(
    new Option(
      '--shard <part>',
      'only this part of the claims, such as 2/5; see evenfall merge',
    ).argParser(part),
  );
}

/** Which claims are run. */
export function addClaimOptions(command: Command): Command {
  return command
    .addOption(
      repeatedOption(
        '--tag <tag>',
        'only specs with this tag; repeat for any of several',
        'all specs',
      ),
    )
    .addOption(
      repeatedOption('--only <claim>', 'only the claim of this name; repeatable', 'all claims'),
    )
    .option(
      '--quarantine <file>',
      'claims that are known not to hold: they are run and told, and change no exit code',
    );
}

function part(text: string): Part {
  const [, number, of] = /^([1-9]\d{0,2})\/([1-9]\d{0,2})$/.exec(text) ?? [];
  if (Number(number) <= Number(of)) return { number: Number(number), of: Number(of) };
  throw new InvalidArgumentError(`expected a part such as 2/5, found "${text}".`);
}
