import { Argument, InvalidArgumentError, Option } from 'commander';
import { readFigure } from '../../files/read-figure.ts';
import { Complaint } from '../../workflow/complaint.ts';

/** The specs of a command that runs them. */
export function specPaths(): Argument {
  const about = 'spec files, or folders with *.spec.yaml files';
  return new Argument('[paths...]', about).default(['specs'], 'specs');
}

/** An option that may be given again; its values in their order. `usual` says what holds without it. */
export function repeatedOption(flags: string, about: string, usual = 'none'): Option {
  return new Option(flags, about)
    .argParser((text: string, before: readonly string[]) => [...before, text])
    .default([], usual);
}

const most = 9_999_999_999;

/** Reads the value of an option that is a whole number of at least `least`. */
export function wholeNumber(least = 0, highest = most): (text: string) => number {
  return (text) => {
    if (/^\d{1,10}$/.test(text) && Number(text) >= least && Number(text) <= highest)
      return Number(text);
    const bounds =
      highest < most ? ` from ${least} to ${highest}` : least > 0 ? ` from ${least}` : '';
    throw new InvalidArgumentError(`expected a whole number${bounds}, found "${text}".`);
  };
}

/** Reads the value of an option that is a time within these bounds, s. */
export function timeWithin(least: number, highest: number): (text: string) => number {
  return (text) => {
    const read = readFigure(text, 'time', { least, most: highest });
    if ('value' in read) return read.value;
    throw new InvalidArgumentError(`${read.problem}.`);
  };
}

/** Seeds have 32 bits: beyond, two numbers would mean one lamp. */
export const seedNumber = wholeNumber(0, 0xffffffff);

/** ms */
const day = 86_400_000;
const ageUnits: Readonly<Record<string, number>> = { h: day / 24, d: day, w: 7 * day };

/** ms of an age such as `36 h`, `14 d`, `6 w`; null where it is none. */
function ageIn(text: string): number | null {
  const [, figure, unit = ''] = /^(\d+(?:\.\d+)?)\s*(h|d|w)$/.exec(text.trim()) ?? [];
  const length = ageUnits[unit];
  return length === undefined ? null : Number(figure) * length;
}

/** Reads an option that is an age of at least a day, s, or `forever`: null. */
export function ageOrForever(text: string): number | null {
  if (text === 'forever') return null;
  const age = ageIn(text);
  if (age !== null && age >= day) return age / 1000;
  const found = JSON.stringify(text);
  throw new InvalidArgumentError(
    `expected forever, or 1 d or longer such as 30 d, found ${found}.`,
  );
}

/** An instant from `2026-03-04`, `2026-03-04T05:06Z`, or an age: `36 h`, `14 d`, `6 w`. ISO 8601 UTC. */
export function parseSince(text: string, now: Date, option: string): string {
  const age = ageIn(text);
  if (age !== null) return new Date(now.getTime() - age).toISOString();
  const instant = /^\d{4}-\d\d-\d\d/.test(text) ? new Date(text) : new Date(Number.NaN);
  if (Number.isNaN(instant.getTime())) {
    const sentence = `${option}: expected a date such as 2026-03-04 or an age such as 14 d, found ${JSON.stringify(text)}`;
    throw new Complaint('usage', sentence);
  }
  return instant.toISOString();
}
