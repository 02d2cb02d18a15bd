import pc from 'picocolors';
import type { Issue } from './issue.ts';
import { blanked, markedLine } from './plain-text.ts';

/** Columns of an excerpt; longer lines are cut around the place that is meant. */
const excerptWidth = 100;

/** Issues for a terminal: place, sentence, the line of the file, and a caret under what is meant. */
export function renderIssues(
  issues: readonly Issue[],
  { colour }: { readonly colour: boolean },
): string {
  const paint = pc.createColors(colour);
  return issues
    .map((issue) => {
      const place = `${markedLine(issue.file)}:${issue.line}:${issue.column}`;
      const path = issue.path === '' ? '' : ` ${markedLine(issue.path)}:`;
      const head = `${paint.bold(place)}:${paint.cyan(path)} ${markedLine(issue.message)}`;
      const { text, from, length } = cutExcerpt(issue);
      if (text.trim() === '') return `${head}\n`;
      const number = String(issue.line);
      const bar = paint.dim('|');
      return [
        head,
        `  ${paint.dim(number)} ${bar} ${text}`,
        `  ${' '.repeat(number.length)} ${bar} ${' '.repeat(from)}${paint.red('^'.repeat(length))}`,
        '',
      ].join('\n');
    })
    .join('\n');
}

function cutExcerpt({ excerpt, column, length }: Issue): {
  text: string;
  from: number;
  length: number;
} {
  const clean = blanked(excerpt);
  const start = Math.max(0, Math.min(column - 1 - 40, clean.length - excerptWidth));
  const cut = clean.length > excerptWidth ? Math.max(0, start) : 0;
  const text = clean.slice(cut, cut + excerptWidth);
  const from = Math.min(column - 1 - cut, text.length);
  return { text, from, length: Math.max(1, Math.min(length, text.length - from)) };
}
