import {
  type ComparedFinding,
  changes,
  largestFirst,
  latestLine,
} from '../../record/compare-runs.ts';
import {
  type ComparedRun,
  differenceText,
  findingPlace,
  isQuiet,
  movementText,
  orderWords,
  runLegend,
  sideNames,
  sideText,
} from '../words/compare-words.ts';
import { counted } from '../words/prose.ts';
import { painter } from './paint.ts';
import { wrap } from './wrap.ts';

/** A run as the terminal names it. */
export interface WarnedRun extends ComparedRun {
  /** What a reader has to know before any figure of it. */
  readonly warning: string | null;
}

interface Look {
  readonly colour: boolean;
  readonly columns: number;
  /** Every finding, what did not change too. */
  readonly all: boolean;
}

/** More findings under one heading would hide the next. */
const shownFindings = 15;

/** Two runs for a terminal: what changed, the worst first, the largest movement first in each group, and the counts. */
export function renderCompareText(
  a: WarnedRun,
  b: WarnedRun,
  findings: readonly ComparedFinding[],
  { colour, columns, all }: Look,
): string {
  const paint = painter(colour);
  const width = Math.max(40, Math.min(columns, 110));
  const names = sideNames(a, b);
  const lines = [...legend('A', a, width), ...legend('B', b, width)];
  if (findings.length > 0) lines.push(...wrap(orderWords, width, ''));
  for (const change of changes) {
    const group = largestFirst(findings.filter((finding) => finding.change === change));
    if (group.length === 0) continue;
    const isFolded = isQuiet(change) && !all;
    if (!isFolded) lines.push('');
    lines.push(
      paint('bold', `${change}: ${group.length}`) + (isFolded ? ' (--all lists them)' : ''),
    );
    if (isFolded) continue;
    const shown = all ? group : group.slice(0, shownFindings);
    const room = Math.max(...shown.map((finding) => movementOf(finding).length));
    lines.push(...shown.flatMap((finding) => findingLines(finding, names, { width, room })));
    const left = group.length - shown.length;
    if (left > 0) lines.push(`  and ${counted(left, 'more finding')} (--all)`);
  }
  if (findings.length === 0) lines.push('', 'Neither run has any findings.');
  return `${lines.join('\n')}\n`;
}

function legend(letter: string, run: WarnedRun, width: number): string[] {
  const warned = run.warning === null ? '' : ` ▲ ${run.warning}`;
  return wrap(`${runLegend(run)}${warned}`, width, `${letter}  `, '   ');
}

/** `190 %, worse  fade-on-time: …`, and what both runs found under it. */
function findingLines(
  finding: ComparedFinding,
  names: ReturnType<typeof sideNames>,
  { width, room }: { readonly width: number; readonly room: number },
): string[] {
  const { a, b } = finding;
  const moved = room === 0 ? '  ' : `  ${movementOf(finding).padEnd(room)}  `;
  const place = findingPlace(latestLine(finding));
  const sides = [`${names.a}: ${sideText(a)}`, `${names.b}: ${sideText(b)}`];
  const figures = [...sides, differenceText(finding)].join('; ');
  return [...wrap(place, width, moved, hanging), ...wrap(figures, width, hanging)];
}

const hanging = ' '.repeat(6);

function movementOf(finding: ComparedFinding): string {
  return movementText(finding) ?? '';
}
