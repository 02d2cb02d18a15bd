import type { ConsoleLink } from '../bench/lamp.ts';

/** What a line orders. */
export type Order =
  | {
      readonly is: 'light';
      /** 0..1 */
      readonly level: number;
      readonly intensities: readonly number[];
      /** s */
      readonly over: number;
    }
  | { readonly is: 'off' | 'reset' | 'identify' | 'temperature' };

/** Order of a line, and whether a lamp has to understand it as it is written. */
export interface ReadLine {
  readonly order: Order;
  readonly sure: boolean;
}

/**
 * Reads a line by the templates of the lamp file; null for a line that none of them makes. A lamp need not bear other spaces or
 * other ways to write a number than those of the templates, but it may; nor per-cent signs and commas.
 */
export function readLine(link: ConsoleLink, line: string, channels: number): ReadLine | null {
  const order = orderOf(link, line, channels, plainNumber);
  if (order) return { order, sure: true };
  const tidy = line.trim().replace(/\s+/g, ' ');
  const bare = tidy.replace(/(\d\.?) ?%/g, '$1').replace(/ ?, ?/g, ' ');
  const loose =
    orderOf(link, tidy, channels, anyNumber) ?? orderOf(link, bare, channels, anyNumber);
  return loose ? { order: loose, sure: false } : null;
}

const plainNumber = String.raw`\d+(?:\.\d+)?`;
const anyNumber = String.raw`[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?`;
const longestFade = 86_400;

function orderOf(link: ConsoleLink, line: string, channels: number, number: string): Order | null {
  for (const is of ['off', 'reset', 'identify', 'temperature'] as const)
    if (line === link[is]) return { is };
  const fields = fieldsOf(link.fade, line, number) ?? fieldsOf(link.set, line, number);
  if (!fields) return null;
  const intensities = fields.intensities.split(' ').map((text) => Number(text) / 100);
  const level = Number(fields.level) / 100;
  const over = Number(fields.milliseconds) / 1000;
  const ratios = [level, ...intensities].every((ratio) => ratio >= 0 && ratio <= 1);
  if (intensities.length !== channels || !ratios || !(over >= 0 && over <= longestFade))
    return null;
  return { is: 'light', level, intensities, over };
}

interface Fields {
  readonly level: string;
  readonly intensities: string;
  readonly milliseconds: string;
}

function fieldsOf(template: string, line: string, number: string): Fields | null {
  const patterns: Readonly<Record<string, string>> = {
    '{level}': `(?<level>${number})`,
    '{intensities}': `(?<intensities>${number}(?: ${number})*)`,
    '{milliseconds}': `(?<milliseconds>${number})`,
  };
  const pattern = template
    .split(/(\{(?:level|intensities|milliseconds)\})/)
    .map((part) => patterns[part] ?? part.replace(/[.*+?^${}()|[\]\\/]/g, String.raw`\$&`))
    .join('');
  const groups = new RegExp(`^${pattern}$`, 'u').exec(line)?.groups;
  if (!groups) return null;
  const { level = '100', intensities = '', milliseconds = '0' } = groups;
  return { level, intensities, milliseconds };
}
