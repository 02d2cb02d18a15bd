import type { Change } from '../../record/compare-runs.ts';
import { conditionWords } from '../../record/condition-words.ts';
import type { FindingLine } from '../../record/finding-line.ts';
import { repeatText } from './prose.ts';
import { uncertainText } from './value-text.ts';
import { verdictMark } from './verdict-words.ts';

/** Not worth a line of their own unless everything is asked for. */
export function isQuiet(change: Change): boolean {
  return change === 'moved within uncertainty' || change === 'unchanged';
}

type Place = Pick<FindingLine, 'spec' | 'condition' | 'repeat' | 'of' | 'during' | 'title'>;

/** `fades-on-time: fade duration of warm, fade time 2 s` */
export function findingPlace(place: Place): string {
  const { spec, condition, repeat, of, during, title } = place;
  const when = during === null ? '' : `during ${during}`;
  const where = [of, conditionWords(condition), when, repeatText(repeat)];
  return `${spec}: ${title} of ${where.filter(Boolean).join(', ')}`;
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
