import { type Change, type ComparedFinding, changes } from '../../record/compare-runs.ts';
import type { FindingLine } from '../../record/finding-line.ts';
import { shortId } from '../../record/run-id.ts';
import { formatMeasured, formatNumber } from '../../units/format-quantity.ts';
import { toShown } from '../../units/to-shown.ts';
import type { Verdict } from '../../verdict/verdict.ts';
import { plainLine } from '../words/plain-text.ts';
import { shownUnit, withUnit } from '../words/value-text.ts';
import { verdictMark } from '../words/verdict-words.ts';

/** What a comparison says of each run. */
export interface ComparedRun {
  readonly id: string;
  readonly started: string;
  readonly lamp: string;
  readonly build: string;
  readonly verdict: Verdict;
}

/** More lines under one heading would hide the next. */
const shownLines = 15;
/** Not worth a line of their own unless everything is asked for. */
const quiet: readonly Change[] = ['moved within uncertainty', 'unchanged'];

/** Two runs for a terminal: what changed, the worst first, and the counts. */
export function renderCompareText(
  a: ComparedRun,
  b: ComparedRun,
  findings: readonly ComparedFinding[],
  { colour, all }: { readonly colour: boolean; readonly all: boolean },
): string {
  const bold = (text: string): string => (colour ? `\u001b[1m${text}\u001b[22m` : text);
  const lines = [`A ${runText(a)}`, `B ${runText(b)}`, ''];
  for (const change of changes) {
    const group = findings.filter((finding) => finding.change === change);
    if (group.length === 0) continue;
    lines.push(bold(`${change}: ${group.length}`));
    if (quiet.includes(change) && !all) continue;
    const shown = all ? group : group.slice(0, shownLines);
    lines.push(...shown.map((finding) => `  ${comparedSentence(finding)}`));
    if (shown.length < group.length)
      lines.push(`  and ${group.length - shown.length} more (--all)`);
  }
  if (findings.length === 0) lines.push('Neither run has a finding.');
  return `${lines.join('\n')}\n`;
}

function runText({ id, started, lamp, build, verdict }: ComparedRun): string {
  const when = started.slice(0, 16).replace('T', ' ');
  return plainLine(`${shortId(id)}  ${when}  ${lamp} ${build}  ${verdictMark[verdict]} ${verdict}`);
}

/** `fade-on-time [fade-time=2 s] warm, Fade duration: 2.013 ± 0.004 s -> 2.150 ± 0.004 s (+0.137 s)` */
export function comparedSentence(finding: ComparedFinding): string {
  const { a, b, difference, limitsChanged } = finding;
  const line = (b ?? a)!;
  const moved = difference === null || difference === 0 ? '' : ` (${signedText(difference, line)})`;
  const limits = limitsChanged ? '; the tolerance changed, too' : '';
  return plainLine(`${placeOf(line)}: ${sideText(a)} -> ${sideText(b)}${moved}${limits}`);
}

export function placeOf({ spec, condition, repeat, of, during, title }: FindingLine): string {
  const point = [condition, repeat > 0 ? `repeat ${repeat + 1}` : ''].filter(Boolean).join(', ');
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
  const unit = shownUnit(line.unit, line.shown);
  return `${mark} ${formatMeasured(line.value, line.expanded ?? 0, line.unit, unit)}`;
}

function signedText(difference: number, line: FindingLine): string {
  const unit = shownUnit(line.unit, line.shown);
  const figure = withUnit(formatNumber(toShown(difference, line.unit, unit), 3), unit);
  return difference > 0 ? `+${figure}` : figure;
}
