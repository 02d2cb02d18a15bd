import { plainLine } from '../../files/plain-text.ts';
import { type ComparedFinding, changes, latestLine } from '../../record/compare-runs.ts';
import type { FindingLine } from '../../record/finding-line.ts';
import { shortId } from '../../record/ids.ts';
import { formatNumber } from '../../units/format-quantity.ts';
import { toShown } from '../../units/to-shown.ts';
import type { Verdict } from '../../verdict/verdict.ts';
import { findingPlace, isQuiet, sideText } from '../words/compare-words.ts';
import { shownUnit, withUnit } from '../words/value-text.ts';
import { verdictMark } from '../words/verdict-words.ts';
import { painter } from './paint.ts';

/** What a comparison says of each run. */
export interface ComparedRun {
  readonly id: string;
  readonly started: string;
  readonly lamp: string;
  readonly build: string;
  readonly verdict: Verdict;
  /** What a reader has to know before any figure of it. */
  readonly warning?: string | null;
}

/** More lines under one heading would hide the next. */
const shownLines = 15;

/** Two runs for a terminal: what changed, the worst first, and the counts. */
export function renderCompareText(
  a: ComparedRun,
  b: ComparedRun,
  findings: readonly ComparedFinding[],
  { colour, all }: { readonly colour: boolean; readonly all: boolean },
): string {
  const paint = painter(colour);
  const lines = [`A ${runText(a)}`, `B ${runText(b)}`, ''];
  for (const change of changes) {
    const group = findings.filter((finding) => finding.change === change);
    if (group.length === 0) continue;
    lines.push(paint('bold', `${change}: ${group.length}`));
    if (isQuiet(change) && !all) continue;
    const shown = all ? group : group.slice(0, shownLines);
    lines.push(...shown.map((finding) => `  ${comparedSentence(finding)}`));
    if (shown.length < group.length)
      lines.push(`  and ${group.length - shown.length} more (--all)`);
  }
  if (findings.length === 0) lines.push('Neither run has any findings.');
  return `${lines.join('\n')}\n`;
}

function runText({ id, started, lamp, build, verdict, warning = null }: ComparedRun): string {
  const when = started.slice(0, 16).replace('T', ' ');
  const warned = warning === null ? '' : `  ▲ ${warning}`;
  return plainLine(
    `${shortId(id)}  ${when}  ${lamp} ${build}  ${verdictMark[verdict]} ${verdict}${warned}`,
  );
}

/** `fade-on-time: Fade duration of warm, fade time 2 s: 2.013 ± 0.004 s -> 2.150 ± 0.004 s (+0.137 s)` */
function comparedSentence(finding: ComparedFinding): string {
  const { a, b, difference, limitsChanged } = finding;
  const line = latestLine(finding);
  const moved = difference === null || difference === 0 ? '' : ` (${signedText(difference, line)})`;
  const limits = limitsChanged ? '; the tolerance changed too' : '';
  return plainLine(`${findingPlace(line)}: ${sideText(a)} -> ${sideText(b)}${moved}${limits}`);
}

function signedText(difference: number, line: FindingLine): string {
  const unit = shownUnit(line.unit, line.shown);
  const figure = withUnit(formatNumber(toShown(difference, line.unit, unit), 3), unit);
  return difference > 0 ? `+${figure}` : figure;
}
