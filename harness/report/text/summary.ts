import type { RunRecord, SpecRecord } from '../../record/run-record.ts';
import type { Verdict } from '../../verdict/verdict.ts';
import { plainLine } from '../words/plain-text.ts';
import { timeText, valueText } from '../words/value-text.ts';
import { verdictMark, verdicts } from '../words/verdict-words.ts';
import {
  claimReason,
  claimsWorstFirst,
  findingsWorstFirst,
  placeText,
  whyText,
} from '../words/worst-first.ts';

export interface SummaryLook {
  readonly colour: boolean;
  readonly columns: number;
}

/** Findings shown under one claim before the rest is only counted. */
const shownFindings = 3;

/** The run for a terminal: what did not pass, the worst first, each with its figures and its reason, then the counts. */
export function renderSummary(record: RunRecord, { colour, columns }: SummaryLook): string {
  const paint = colour ? ansi : plain;
  const width = Math.max(40, Math.min(columns, 110));
  const lines = [...wrap(heading(record), width, '').map((line) => paint('bold', line)), ''];
  for (const spec of claimsWorstFirst(record)) {
    if (spec.verdict !== 'pass') lines.push(...claimLines(spec, width, paint), '');
  }
  lines.push(...deviationLines(record, width));
  lines.push(countsLine(record, paint), ...wrap(closing(record), width, ''));
  return `${lines.join('\n')}\n`;
}

function heading({ lamp, rig, id, seed }: RunRecord): string {
  const bench = rig.simulated ? `${rig.name} (simulated, seed ${seed})` : rig.name;
  return plainLine(`${lamp.name}, build ${lamp.build}, on ${bench}: run ${id}`);
}

function claimLines(spec: SpecRecord, width: number, paint: Paint): string[] {
  const word = `${verdictMark[spec.verdict]} ${spec.verdict}`;
  const lines = [
    `${paint(spec.verdict, word)}  ${paint('bold', plainLine(`${spec.folder}/${spec.spec}`))}`,
  ];
  lines.push(...wrap(spec.claim, width, '  '));
  const bad = findingsWorstFirst(spec).filter(({ finding }) => finding.verdict !== 'pass');
  for (const placed of bad.slice(0, shownFindings)) {
    const { finding } = placed;
    const figures = `${finding.title}, ${placeText(placed)}: ${valueText(finding)}, allowed ${finding.limits.text}`;
    lines.push(...wrap(`${verdictMark[finding.verdict]} ${figures}`, width, '    ', '      '));
    const why = whyText(finding);
    if (why) lines.push(...wrap(why, width, '      '));
  }
  if (bad.length > shownFindings)
    lines.push(`    and ${counted(bad.length - shownFindings, 'more finding')} like it`);
  if (bad.length === 0) lines.push(...wrap(claimReason(spec) ?? 'no reason given', width, '    '));
  return lines;
}

function deviationLines({ deviations, safeState }: RunRecord, width: number): string[] {
  const lines = deviationTexts(deviations).flatMap(({ kind, text }) =>
    wrap(`deviation (${kind}): ${text}`, width, '', '  '),
  );
  if (!safeState.confirmed)
    lines.push(...wrap(`The safe state was NOT confirmed: ${safeState.detail}`, width, '', '  '));
  return lines.length > 0 ? [...lines, ''] : [];
}

function countsLine({ specs }: RunRecord, paint: Paint): string {
  const parts = verdicts.flatMap((verdict) => {
    const count = specs.filter((spec) => spec.verdict === verdict).length;
    return count > 0 ? [paint(verdict, `${verdictMark[verdict]} ${count} ${verdict}`)] : [];
  });
  const total = counted(specs.length, 'claim');
  return parts.length > 0 ? `${total}: ${parts.join('   ')}` : total;
}

function closing(record: RunRecord): string {
  const { totals, decision, ended } = record;
  const findings = Object.values(totals.findings).reduce((sum, count) => sum + count, 0);
  const rule = `${decision.rule} decision rule, k = ${decision.coverageFactor}`;
  const times = `${timeText(totals.lampTime)} of lamp time in ${timeText(totals.wallTime)}`;
  const ending = ended === 'complete' ? '' : `; the run ended ${ended}`;
  return `${counted(findings, 'finding')}, ${rule}, ${times}${ending}. Pre-compliance figures: they never certify.`;
}

/** Deviations of one kind as one: a bench that stutters a hundred times is one thing to know. */
export function deviationTexts(deviations: RunRecord['deviations']): RunRecord['deviations'] {
  const kinds = [...new Set(deviations.map(({ kind }) => kind))];
  return kinds.map((kind) => {
    const own = deviations.filter((deviation) => deviation.kind === kind);
    const first = own[0]!.text;
    return { kind, text: own.length === 1 ? first : `${own.length} times, first: ${first}` };
  });
}

/** `1 claim`, `3 claims`. */
export function counted(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}

/** Breaks one line of text at spaces; later lines hang by `hanging`. */
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

/** A figure and its short unit, `20 ms` or `0.1 %`, are not torn apart. */
const figureWithUnit = /(\d) (?=[%a-zA-ZµΩ°*]{1,3}(?:[\s,.;:)]|$))/g;

type Paint = (style: Verdict | 'bold', text: string) => string;

const codes: Readonly<Record<Verdict | 'bold', number>> = {
  bold: 1,
  pass: 32,
  fail: 31,
  inconclusive: 33,
  error: 35,
  'not run': 2,
};

// picocolors looks at the process for itself; here the caller has decided.
const ansi: Paint = (style, text) => `\u001b[${codes[style]}m${text}\u001b[0m`;
const plain: Paint = (_style, text) => text;
