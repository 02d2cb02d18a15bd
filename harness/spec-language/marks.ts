import { didYouMean } from '../files/did-you-mean.ts';
import { valueAtPath } from '../files/schema-issues.ts';
import type { ValueReader } from '../plan/value-reader.ts';

/** The marks of a stimulus as written, also of one that is wrong elsewhere: windows are checked all the same. */
export function writtenMarks(stimulus: unknown): string[] {
  if (!Array.isArray(stimulus)) return [];
  return stimulus.flatMap((entry) => {
    const mark = valueAtPath(entry, ['mark']);
    const inner = writtenMarks(valueAtPath(entry, ['repeat', 'steps']));
    return typeof mark === 'string' ? [mark, ...inner] : inner;
  });
}

/** A mark of the stimulus; reports one that it does not set. */
export function readMark(written: string, marks: readonly string[], reader: ValueReader): string {
  const mark = reader.text(written);
  if (marks.includes(mark) || mark.includes('$')) return mark;
  const list = marks.length > 0 ? `; marks: ${marks.join(', ')}` : '; the stimulus sets none';
  const missing = `no mark "${mark}" in the stimulus, where "- mark: ${mark}" makes one`;
  reader.report(`${missing}${didYouMean(mark, marks) || list}`, written);
  return mark;
}
