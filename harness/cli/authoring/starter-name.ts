import { InvalidArgumentError } from 'commander';

/** The name of something new, as an argument. */
export function starterName(name: string): string {
  if (/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/.test(name)) return name;
  const expected = 'expected a name of lower-case letters, digits and single hyphens';
  throw new InvalidArgumentError(`${expected}, found "${name}".`);
}
