import { existsSync } from 'node:fs';
import { join, relative, resolve, sep } from 'node:path';
import { type Command, InvalidArgumentError, Option } from 'commander';
import { didYouMean } from '../../files/did-you-mean.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { isOfLibrary } from '../../workflow/inputs/shipped-file.ts';
import { daliParts, type LampAnswers, lampLinks } from '../../workflow/project/starter-answers.ts';
import { channelNames } from '../../workflow/project/starter-channels.ts';
import { type CiForm, ciForms } from '../../workflow/project/starter-ci.ts';
import { type FirmwareStyle, firmwareStyles } from '../../workflow/project/starter-firmware.ts';

/** Of the lamp what its file shall say, and what is laid out around it. */
export interface LampOptions extends Omit<LampAnswers, 'name' | 'rdm' | 'slotBits'> {
  readonly lamp?: string;
  readonly rdm?: boolean;
  readonly slotBits: '8' | '16';
  readonly style: FirmwareStyle;
  readonly ci?: CiForm | 'none';
}

const most = 16;

/** What `new firmware` and `new project` ask of the lamp. */
export function addLampOptions(command: Command): Command {
  const choice = (flags: string, about: string, choices: readonly string[]): Option =>
    new Option(flags, about).choices(choices).default(choices[0]);
  return command
    .addOption(
      new Option('--channels <list>', 'their number, or their names with commas between')
        .argParser(channels)
        .default(['warm', 'cool'], 'warm,cool'),
    )
    .addOption(
      new Option('--links <list>', `of ${lampLinks.join(', ')}, with commas between`)
        .argParser((text) => listOf(text, lampLinks))
        .default(['console'], 'console'),
    )
    .addOption(
      new Option('--dali <list>', `what it has on DALI: of ${daliParts.join(', ')}`)
        .argParser((text) => listOf(text, daliParts))
        .default([], 'levels alone'),
    )
    .option('--rdm', 'it speaks RDM on its DMX512 line')
    .addOption(choice('--slot-bits <bits>', 'of a value on DMX512 and sACN', ['16', '8']))
    .addOption(choice('--on-loss <what>', 'what it does without a signal', ['hold', 'off']))
    .addOption(choice('--curve <kind>', 'its dimming curve', ['logarithmic', 'linear']))
    .addOption(choice('--modulation <kind>', 'how it dims', ['pulse-density', 'pwm']))
    .addOption(choice('--stage <kind>', 'its output stage', ['linear', 'fixed-off-time']))
    .addOption(choice('--supply <kind>', 'its supply', ['dc', 'mains']))
    .addOption(choice('--style <style>', 'who drives the small firmware', firmwareStyles))
    .addOption(
      new Option(
        '--ci <form>',
        'CI file for .github or .gitlab-ci.yml (default: what the folder has, else both)',
      ).choices([...ciForms, 'none']),
    );
}

/** What the lamp file shall say. Throws a Complaint where the answers contradict each other. */
export function answersOf(name: string, options: LampOptions, command: string): LampAnswers {
  const { links, dali, channels: names, rdm = false } = options;
  const refuse = (sentence: string): never => {
    throw new Complaint('usage', `${command}: ${sentence}`);
  };
  if (dali.length > 0 && !links.includes('dali')) refuse('--dali: expected dali in --links too');
  if (rdm && !links.includes('dmx')) refuse('--rdm: expected dmx in --links too');
  if (dali.includes('tunable-white') && names.length < 2)
    refuse(`--dali tunable-white: expected two channels or more, found ${names.length}`);
  if (dali.includes('rgbwaf') && names.length > 6)
    refuse(`--dali rgbwaf: expected six channels or fewer, found ${names.length}`);
  const { onLoss, curve, modulation, stage, supply } = options;
  const slotBits = options.slotBits === '8' ? 8 : 16;
  return {
    ...{ name, channels: names, links, dali, rdm },
    ...{ slotBits, onLoss, curve, modulation, stage, supply },
  };
}

/** The forms of CI that are asked for, or that the folder shows; both where it shows none. */
export function ciOf({ ci }: LampOptions, folder: string): readonly CiForm[] {
  if (ci !== undefined) return ci === 'none' ? [] : [ci];
  const shown = ciForms.filter((form) => existsSync(join(folder, traces[form])));
  return shown.length > 0 ? shown : ciForms;
}

/** What a folder of a forge has. */
const traces: Readonly<Record<CiForm, string>> = {
  workflow: '.github',
  pipeline: '.gitlab-ci.yml',
};

function channels(text: string): readonly string[] {
  const names = /^\d+$/.test(text) ? channelNames(Number(text)) : text.split(',');
  const bad = names.find((name) => !/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/.test(name));
  if (bad !== undefined)
    throw new InvalidArgumentError(
      `expected a number, or names of lower-case letters, digits and hyphens with commas between, found "${bad}".`,
    );
  const twin = names.find((name, index) => names.indexOf(name) < index);
  if (twin !== undefined)
    throw new InvalidArgumentError(`expected each name once, found "${twin}" twice.`);
  if (names.length < 1 || names.length > most)
    throw new InvalidArgumentError(`expected 1 to ${most} channels, found ${names.length}.`);
  return names;
}

function listOf<Word extends string>(text: string, known: readonly Word[]): readonly Word[] {
  return text.split(',').map((found) => {
    const word = known.find((one) => one === found);
    if (word !== undefined) return word;
    const expected = `expected ${known.join(', ')}, with commas between`;
    throw new InvalidArgumentError(`${expected}, found "${found}"${didYouMean(found, known)}.`);
  });
}

/** A path of the command line as the project in `folder` has it. */
export function fromFolder(path: string, folder: string, cwd: string): string {
  return isOfLibrary(path) ? path : relative(folder, resolve(cwd, path)).split(sep).join('/');
}
