import type { Change } from '../../record/compare-runs.ts';
import type { FindingLine } from '../../record/finding-line.ts';
import { repeatText } from './prose.ts';
import { uncertainText } from './value-text.ts';
import { verdictMark } from './verdict-words.ts';

/** Not worth a line of their own unless everything is asked for. */
export function isQuiet(change: Change): boolean {
  return change === 'moved within uncertainty' || change === 'unchanged';
}

/** `fades-on-time [fade-time=2 s] warm, fade duration` */
export function findingPlace({ spec, condition, repeat, of, during, title }: FindingLine): string {
  const point = [condition, repeatText(repeat)].filter(Boolean).join(', ');
  const where = [of, during === null ? '' : `during ${during}`].filter(Boolean).join(', ');
  return `${spec}${point ? ` [${point}]` : ''} ${where}, ${title}`;
}

/** Value, uncertainty and the mark of the verdict; or why there is none. */
export function sideText(line: FindingLine | null): string {
  if (!line) return 'absent';
  const mark = verdictMark[line.verdict];
  if (line.value === null) {
    return `${mark} ${line.verdict} (${(line.notMeasurable ?? 'no value').replaceAll('-', ' ')})`;
  }
  return `${mark} ${uncertainText(line.value, line.expanded, line.unit, line.shown)}`;
}
