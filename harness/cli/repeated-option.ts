import { Option } from 'commander';

/** An option that may be given again; its values in their order. `usual` says what holds without it. */
export function repeatedOption(flags: string, about: string, usual = 'none'): Option {
  return new Option(flags, about)
    .argParser((text: string, before: readonly string[]) => [...before, text])
    .default([], usual);
}
