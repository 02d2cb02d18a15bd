import { InvalidArgumentError } from 'commander';

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

/** Seeds have 32 bits: beyond, two numbers would mean one lamp. */
export const seedNumber = wholeNumber(0, 0xffffffff);
