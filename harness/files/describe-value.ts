import { plainLine } from './plain-text.ts';

/** A value found in a file, in words: `the text "abc"`, `the number 5`, `nothing`, `a list`, `a mapping`. */
export function describeValue(value: unknown): string {
  if (value === undefined || value === null) return 'nothing';
  if (typeof value === 'string') return `the text "${oneLine(value)}"`;
  if (typeof value === 'number') return Number.isFinite(value) ? `the number ${value}` : `${value}`;
  if (typeof value === 'boolean') return `${value}`;
  return Array.isArray(value) ? 'a list' : 'a mapping';
}

/** Short enough for a sentence, and without control characters. */
export function oneLine(text: string, most = 60): string {
  const line = plainLine(text);
  const characters = [...line];
  return characters.length > most ? `${characters.slice(0, most).join('')}…` : line;
}
