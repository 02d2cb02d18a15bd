import { diagnose } from '../../diagnose/diagnose.ts';
import { plainLine } from '../../files/plain-text.ts';
import { benchBrokenText } from '../../record/bench-after.ts';
import { reusedText } from '../../record/reused.ts';
import type { RunRecord, SpecRecord } from '../../record/run-record.ts';
import { standsOpen } from '../../verdict/verdict.ts';
import {
  causesHeading,
  causeTexts,
  diagnosisHeading,
  explanationText,
} from '../words/diagnosis-words.ts';
import { claimSentence } from '../words/finding-words.ts';
import { capital, counted, rigText } from '../words/prose.ts';
import { quarantineText } from '../words/quarantine-words.ts';
import { verdictMark, verdicts } from '../words/verdict-words.ts';
import { claimsWorstFirst } from '../words/worst-first.ts';

/** A job summary may hold 1 MiB and fails to upload beyond; this leaves room for what else the job writes. */
const longest = 900 * 1024;

/** The run as Markdown for a CI job summary: counts, then a table of what did not pass, the worst first. */
export function renderMarkdown(record: RunRecord, warning: string | null = null): string {
  const { lamp, rig, id } = record;
  const reused = reusedText(record);
  const broken = benchBrokenText(record);
  const head = [
    `## ${text(lamp.name)}, build ${text(lamp.build)}`,
    '',
    ...(warning === null ? [] : [`**${text(capital(warning))}.**`, '']),
    ...(broken === null ? [] : [`**${text(capital(broken))}.**`, '']),
    `Run ${text(id)} on ${text(rigText(rig))}. ${countsSentence(record)}`,
    '',
    ...(reused === null ? [] : [`${text(capital(reused))}.`, '']),
    ...diagnosisRows(record),
  ];
  const bad = claimsWorstFirst(record).filter(standsOpen);
  const table = bad.length > 0 ? ['| verdict | claim | worst finding |', '|---|---|---|'] : [];
  const foot = ['', 'Pre-compliance figures: they never certify.', ''];
  let length = 0;
  let shown = 0;
  for (const spec of bad) {
    const row = claimRow(spec);
    length += row.length * 3; // a character may take three bytes
    if (length > longest) break;
    table.push(row);
    shown++;
  }
  if (shown < bad.length)
    foot.unshift('', `${counted(bad.length - shown, 'more claim')} in the stored run.`);
  return [...head, ...table, ...foot].join('\n');
}

/** More rows than this explain nothing to somebody who reads a summary. */
const mostRows = 12;

function diagnosisRows(record: RunRecord): string[] {
  const diagnosis = diagnose(record);
  if (!diagnosis) return [];
  const { explanations } = diagnosis;
  const shown = explanations.slice(0, mostRows).map((explanation) => {
    return `- ${explanation.findings.length} × ${text(explanationText(explanation))}`;
  });
  const left = explanations.length - shown.length;
  const causes = diagnosis.causes.map((cause) => `- ${text(causeTexts(cause).join('. '))}`);
  return [
    text(diagnosisHeading(diagnosis)),
    '',
    ...shown,
    ...(left > 0 ? [`- ${counted(left, 'more row')} in the stored run`] : []),
    '',
    ...(causes.length > 0 ? [text(causesHeading), '', ...causes, ''] : []),
  ];
}

function countsSentence({ specs }: RunRecord): string {
  const parts = verdicts.flatMap((verdict) => {
    const count = specs.filter((spec) => spec.verdict === verdict).length;
    return count > 0 ? [`${verdictMark[verdict]} ${count} ${verdict}`] : [];
  });
  return `${counted(specs.length, 'claim')}: ${parts.join(', ') || 'none'}.`;
}

function claimRow(spec: SpecRecord): string {
  const claim = `${spec.claim} (${spec.folder}/${spec.spec})`;
  const words = [claimSentence(spec), quarantineText(spec)].filter(Boolean).join(' ');
  return `| ${verdictMark[spec.verdict]} ${spec.verdict} | ${text(claim)} | ${text(words)} |`;
}

/** Text of strangers as Markdown text: nothing in it may become a table cell, a link, markup or a tag. */
function text(raw: string): string {
  return plainLine(raw)
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/[\\`*_{}[\]()#+!|~@]/g, '\\$&');
}
