import { type Diagnosis, diagnose } from '../../diagnose/diagnose.ts';
import { plainLine } from '../../files/plain-text.ts';
import { benchBrokenText } from '../../record/bench-after.ts';
import { linesOfFinding } from '../../record/firmware-lines.ts';
import { isHeldBack } from '../../record/quarantine.ts';
import type { RunRecord, SpecRecord } from '../../record/run-record.ts';
import { standsOpen } from '../../verdict/verdict.ts';
import {
  causesHeading,
  causeTexts,
  diagnosisHeading,
  explanationText,
} from '../words/diagnosis-words.ts';
import { deviationTexts, findingFigures, whyText } from '../words/finding-words.ts';
import { logLineText } from '../words/log-words.ts';
import { marginLeft, marginShare } from '../words/margin-words.ts';
import { capital, counted, rigText } from '../words/prose.ts';
import { quarantineText } from '../words/quarantine-words.ts';
import { againSentence } from '../words/repeated-words.ts';
import { timeText } from '../words/value-text.ts';
import { verdictMark, verdicts } from '../words/verdict-words.ts';
import {
  claimReason,
  claimsWorstFirst,
  findingsWorstFirst,
  type Placed,
} from '../words/worst-first.ts';
import { type Paint, painter } from './paint.ts';
import { wrap } from './wrap.ts';

export interface SummaryLook {
  readonly colour: boolean;
  readonly columns: number;
}

/** Findings shown under one claim before the rest is only counted. */
const shownFindings = 3;

/** Of a claim with more, whose failures the diagnosis has named already. */
const shownExplained = 1;
/** Lines of the firmware's log under a finding. */
const shownLines = 3;
/** Explanations shown before the rest is only counted. */
const shownExplanations = 6;

/** The run for a terminal: what passed with its margin, what the failures have in common, then what did not pass, the worst first, each with its figures and its reason, then the counts. `warning` comes before all. */
export function renderSummary(
  record: RunRecord,
  { colour, columns }: SummaryLook,
  warning: string | null = null,
): string {
  const paint = painter(colour);
  const width = Math.max(40, Math.min(columns, 110));
  const warned = warning === null ? [] : [...wrap(`▲ ${capital(warning)}.`, width, ''), ''];
  const lines = [
    ...warned,
    ...benchLines(record, width),
    ...wrap(heading(record), width, '').map((line) => paint('bold', line)),
    '',
  ];
  lines.push(...passLines(record, width, paint));
  const diagnosis = diagnose(record);
  if (diagnosis) lines.push(...diagnosisLines(diagnosis, width, paint), '');
  for (const spec of claimsWorstFirst(record)) {
    if (standsOpen(spec)) lines.push(...claimLines(spec, width, paint), '');
  }
  lines.push(...besideLines(record, width));
  lines.push(...deviationLines(record, width));
  lines.push(countsLine(record, paint), ...wrap(closing(record), width, ''));
  return `${lines.join('\n')}\n`;
}

/** The run for a log that is to stay short: what did not pass, a safe state that was not confirmed, and one line of counts. */
export function renderQuietSummary(
  record: RunRecord,
  { colour, columns }: SummaryLook,
  storedIn: string | null,
): string {
  const paint = painter(colour);
  const width = Math.max(40, Math.min(columns, 110));
  const open = claimsWorstFirst(record).filter(standsOpen);
  const stored = storedIn === null ? '' : `, stored in ${plainLine(storedIn)}`;
  const failing = diagnose(record)?.failing ?? 0;
  const common =
    storedIn === null || failing < 2
      ? []
      : [
          `What the ${failing} failing findings have in common: evenfall report ${plainLine(storedIn)}`,
        ];
  const lines = [
    ...open.flatMap((spec) => [...claimLines(spec, width, paint), '']),
    ...benchLines(record, width),
    ...safeStateLines(record, width),
    ...common,
    `${countsLine(record, paint)}${record.ended === 'complete' ? '' : `; the run ended ${record.ended}`}${stored}`,
  ];
  return `${lines.join('\n')}\n`;
}

/** Before any figure: what nothing proves. */
function benchLines(record: RunRecord, width: number): string[] {
  const broken = benchBrokenText(record);
  return broken === null ? [] : [...wrap(`▲ ${capital(broken)}.`, width, ''), ''];
}

function heading({ lamp, rig, id, seed }: RunRecord): string {
  const seeded = rig.simulated ? `, seed ${seed}` : '';
  return plainLine(`${lamp.name}, build ${lamp.build}, on ${rigText(rig)}${seeded}: run ${id}`);
}

/** What passed, the closest to its limit first: how much of the tolerance is left, and the finding that says so. */
function passLines({ specs }: RunRecord, width: number, paint: Paint): string[] {
  const passed = specs.filter(({ verdict }) => verdict === 'pass');
  const measured = passed.flatMap((spec) =>
    findingsWorstFirst(spec)
      .slice(0, 1)
      .map((placed) => ({ spec, placed })),
  );
  if (measured.length === 0) return [];
  const left = (placed: Placed): number => marginLeft(placed.finding) ?? Number.POSITIVE_INFINITY;
  measured.sort((a, b) => left(a.placed) - left(b.placed));
  const rows = measured.flatMap(({ spec, placed }) => {
    const share = (marginShare(placed.finding) ?? '').padStart(5);
    const text = `${spec.folder}/${spec.spec}: ${findingFigures(placed)}`;
    return wrap(text, width, `  ${share}  `, ' '.repeat(9));
  });
  const title = 'Passed, with the share of the tolerance that the closest finding leaves:';
  return [...wrap(title, width, '').map((line) => paint('bold', line)), ...rows, ''];
}

function diagnosisLines(diagnosis: Diagnosis, width: number, paint: Paint): string[] {
  const { explanations } = diagnosis;
  const shown = explanations.slice(0, shownExplanations);
  const digits = String(shown[0]?.findings.length ?? 0).length;
  const left = explanations.length - shown.length;
  return [
    ...wrap(diagnosisHeading(diagnosis), width, '').map((line) => paint('bold', line)),
    ...shown.flatMap((explanation) => {
      const count = String(explanation.findings.length).padStart(digits);
      const text = `${explanationText(explanation)}.`;
      return wrap(text, width, `  ${count}  `, ' '.repeat(digits + 4));
    }),
    ...(left > 0 ? [`  and ${counted(left, 'more row')} on the page`] : []),
    ...causeLines(diagnosis, width, paint),
  ];
}

function causeLines({ causes }: Diagnosis, width: number, paint: Paint): string[] {
  if (causes.length === 0) return [];
  const lines = causes.flatMap((cause) =>
    wrap(causeTexts(cause).join('. '), width, '  ', '      '),
  );
  return [paint('bold', causesHeading), ...lines];
}

function claimLines(spec: SpecRecord, width: number, paint: Paint): string[] {
  const word = `${verdictMark[spec.verdict]} ${spec.verdict}`;
  const name = plainLine(`${spec.folder}/${spec.spec}`);
  const lines = [`${paint(spec.verdict, word)}  ${paint('bold', name)}`];
  lines.push(...wrap(spec.claim, width, '  '));
  lines.push(...wrap(quarantineText(spec) ?? '', width, '  ').filter((line) => line.trim() !== ''));
  const bad = findingsWorstFirst(spec).filter(({ finding }) => finding.verdict !== 'pass');
  const isExplained = spec.verdict === 'fail' && bad.length > shownFindings;
  const most = isExplained ? shownExplained : shownFindings;
  for (const placed of bad.slice(0, most)) {
    const { finding } = placed;
    const figures = `${verdictMark[finding.verdict]} ${findingFigures(placed)}`;
    lines.push(...wrap(figures, width, '    ', '      '));
    const why = whyText(finding);
    if (why) lines.push(...wrap(why, width, '      '));
    lines.push(...logLines(placed, width));
  }
  if (bad.length > most)
    lines.push(`    and ${counted(bad.length - most, 'more finding')} like it`);
  if (bad.length === 0) lines.push(...wrap(claimReason(spec) ?? 'no reason given', width, '    '));
  return lines;
}

/** The last of what the firmware said in the time that the finding is about. */
function logLines({ condition, finding }: Placed, width: number): string[] {
  const lines = linesOfFinding(condition, finding);
  if (lines.length === 0) return [];
  const last = lines.slice(-shownLines);
  const count = lines.filter(({ isGap }) => !isGap).length;
  const shortened = last.length < lines.length ? ', at last' : '';
  const head = `The firmware said ${count === 0 ? 'nothing' : counted(count, 'line')}${shortened}:`;
  return [
    ...wrap(head, width, '      '),
    ...last.flatMap((line) => wrap(logLineText(line), width, '        ', '          ')),
  ];
}

/** What this lamp cannot have, by its reason: nothing that anybody has to look into. */
function besideLines({ specs, lamp }: RunRecord, width: number): string[] {
  const beside = specs.filter(({ verdict }) => verdict === 'not applicable');
  if (beside.length === 0) return [];
  const reasons = [...new Set(beside.map(({ reason }) => reason ?? 'no reason given'))];
  const lines = reasons.flatMap((reason) => {
    const names = beside.filter((spec) => (spec.reason ?? 'no reason given') === reason);
    const list = names.map(({ folder, spec }) => `${folder}/${spec}`).join(', ');
    return wrap(`${list}: ${reason}`, width, '  ', '    ');
  });
  const mark = verdictMark['not applicable'];
  return [plainLine(`${mark} not applicable to ${lamp.name}`), ...lines, ''];
}

function deviationLines(record: RunRecord, width: number): string[] {
  const lines = deviationTexts(record.deviations).flatMap(({ kind, text }) =>
    wrap(`deviation (${kind}): ${text}`, width, '', '  '),
  );
  lines.push(...safeStateLines(record, width));
  return lines.length > 0 ? [...lines, ''] : [];
}

function safeStateLines({ safeState }: RunRecord, width: number): string[] {
  if (safeState.confirmed) return [];
  return wrap(`The safe state was NOT confirmed: ${safeState.detail}`, width, '', '  ');
}

function countsLine(record: RunRecord, paint: Paint): string {
  const { specs } = record;
  const parts = verdicts.flatMap((verdict) => {
    const count = specs.filter((spec) => spec.verdict === verdict).length;
    return count > 0 ? [paint(verdict, `${verdictMark[verdict]} ${count} ${verdict}`)] : [];
  });
  const held = specs.filter(isHeldBack).length;
  const aside = held === 0 ? '' : `   (${held} of them in quarantine)`;
  const total = counted(specs.length, 'claim');
  const unproved = benchBrokenText(record) === null ? '' : '; not proved';
  return parts.length > 0 ? `${total}: ${parts.join('   ')}${aside}${unproved}` : total;
}

function closing({ totals, decision, ended, specs }: RunRecord): string {
  const findings = Object.values(totals.findings).reduce((sum, count) => sum + count, 0);
  const rule = `${decision.rule} decision rule, k = ${decision.coverageFactor}`;
  const times = `${timeText(totals.lampTime)} of lamp time in ${timeText(totals.wallTime)}`;
  const ending = ended === 'complete' ? '' : `; the run ended ${ended}`;
  const again = againSentence({ decision, specs });
  return `${counted(findings, 'finding')}, ${rule}, ${times}${ending}. ${again === null ? '' : `${again} `}Pre-compliance figures: they never certify.`;
}
