import { plainLine } from '../../files/plain-text.ts';
import { benchBrokenText } from '../../record/bench-after.ts';
import { type Change, type ComparedFinding, latestLine } from '../../record/compare-runs.ts';
import { conditionWords } from '../../record/condition-words.ts';
import type { FindingLine } from '../../record/finding-line.ts';
import { shortId } from '../../record/ids.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { formatNumber } from '../../units/format-quantity.ts';
import { toShown } from '../../units/to-shown.ts';
import type { Verdict } from '../../verdict/verdict.ts';
import { limitsText } from './limits-text.ts';
import { repeatText } from './prose.ts';
import { shownUnit, uncertainText, withUnit } from './value-text.ts';
import { verdictMark } from './verdict-words.ts';

/** What names a run beside another one. */
export interface ComparedRun {
  readonly id: string;
  readonly started: string;
  readonly lamp: string;
  readonly build: string;
  readonly verdict: Verdict;
  readonly faults: RunRecord['faults'];
  /** Its bench was not good after the last claim: nothing of it is proved. */
  readonly isUnproved?: boolean;
  /** How often what was inconclusive might be measured again: its guard bands are others. */
  readonly again?: number | undefined;
}

export function comparedRun(record: RunRecord): ComparedRun {
  const { id, startedAt, lamp, verdict, faults, decision } = record;
  const isUnproved = benchBrokenText(record) !== null;
  return {
    ...{ id, started: startedAt, lamp: lamp.name, build: lamp.build, verdict, faults },
    ...{ again: decision.again, ...(isUnproved && { isUnproved }) },
  };
}

/** `Alcove-6, build 1.4.2, 2026-03-01 05:06 UTC, run 01aaaaaa: ● pass` */
export function runLegend(run: ComparedRun): string {
  const { id, started, lamp, build, verdict, faults, again } = run;
  const seeded = faults.map(({ fault, size }) => `, seeded fault ${fault} (size ${size})`);
  const name = `${lamp}, build ${build}, ${minuteOf(started)} UTC, run ${shortId(id)}`;
  const repeated =
    again === undefined ? '' : `, measured up to ${again} times more while inconclusive`;
  const unproved = run.isUnproved
    ? ' (its bench was not good after the last claim: nothing of it is proved)'
    : '';
  return plainLine(
    `${name}${seeded.join('')}${repeated}: ${verdictMark[verdict]} ${verdict}${unproved}`,
  );
}

/** What is short enough to stand beside every figure and still tells both runs apart: their lamps, builds or dates. */
export function sideNames(
  a: ComparedRun,
  b: ComparedRun,
): { readonly a: string; readonly b: string } {
  const parts = [
    a.lamp !== b.lamp && [a.lamp, b.lamp],
    a.build !== b.build && [a.build, b.build],
  ].filter((part) => part !== false);
  const told = parts.length > 0 ? parts : [[minuteOf(a.started), minuteOf(b.started)]];
  const side = (k: number): string => plainLine(told.map((pair) => pair[k]).join(' '));
  return { a: `A ${side(0)}`, b: `B ${side(1)}` };
}

function minuteOf(instant: string): string {
  return instant.slice(0, 16).replace('T', ' ');
}

/** In what order findings stand, and what their share is of. */
export const orderWords =
  'In each group the largest movement comes first, and at one size what got worse before what got better. Movement: B - A as a share of the tolerance, that is of half the way between its limits, or of the size of its only limit. Worse: less of the tolerance is left.';

/** `190 %, worse`; null where nothing moved, or no share can be told. */
export function movementText({ share, course, difference }: ComparedFinding): string | null {
  if (difference === null || difference === 0) return null;
  if (share === null) return course === 'worse' || course === 'better' ? course : null;
  const size =
    share < 0.01 ? '< 1 %' : share < 10 ? `${Math.round(share * 100)} %` : `${Math.round(share)} ×`;
  return course === 'worse' || course === 'better' ? `${size}, ${course}` : size;
}

/** `+0.19 s, allowed 1.9 s to 2.1 s`: what the values of both runs are held against. */
export function differenceText(compared: ComparedFinding): string {
  const { difference, limitsChanged, a } = compared;
  const line = latestLine(compared);
  const moved = difference === null || difference === 0 ? [] : [signedText(difference, line)];
  const before = limitsChanged && a ? ` (A was allowed ${limitsText(a, a)})` : '';
  return [...moved, `allowed ${limitsText(line, line)}${before}`].join(', ');
}

function signedText(difference: number, line: FindingLine): string {
  const unit = shownUnit(line.unit, line.shown);
  const figure = withUnit(formatNumber(toShown(difference, line.unit, unit), 3), unit);
  return difference > 0 ? `+${figure}` : figure;
}

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

/** The verdict by mark and word, then value and uncertainty, or why there is none. */
export function sideText(line: FindingLine | null): string {
  if (!line) return 'absent';
  const mark = verdictMark[line.verdict];
  if (line.value === null) {
    return `${mark} ${line.verdict} (${(line.notMeasurable ?? 'no value').replaceAll('-', ' ')})`;
  }
  return `${mark} ${line.verdict} ${uncertainText(line.value, line.expanded, line.unit, line.shown)}`;
}
