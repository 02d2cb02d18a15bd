import { plainLine } from '../../files/plain-text.ts';

/** Breaks one line of text at spaces; later lines hang by `hanging`. A figure keeps its unit beside it. */
export function wrap(text: string, width: number, indent: string, hanging = indent): string[] {
  const lines: string[] = [];
  let line = indent;
  let empty = true;
  for (const word of plainLine(text).replace(figureWithUnit, '$1\u00a0').split(/ +/)) {
    if (!empty && line.length + 1 + word.length > width) {
      lines.push(line);
      line = hanging;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  return [...lines, line].map((one) => one.replaceAll('\u00a0', ' '));
}

/** A figure and its short unit: `20 ms`, `0.1 %`. */
const figureWithUnit = /(\d) (?=[%a-zA-ZµΩ°*]{1,3}(?:[\s,.;:)]|$))/g;
