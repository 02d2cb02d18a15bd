import { plainText } from '../../files/plain-text.ts';
import { benchBrokenText } from '../../record/bench-after.ts';
import { isHeldBack } from '../../record/quarantine.ts';
import { reusedText } from '../../record/reused.ts';
import type { RunRecord, SpecRecord } from '../../record/run-record.ts';
import { claimSentence } from '../words/finding-words.ts';
import { quarantineText } from '../words/quarantine-words.ts';
import { claimsWorstFirst, decidingFinding } from '../words/worst-first.ts';

/** What a job runner shows of one step; more is dropped without a word, so the worst come first and the rest is counted. */
const errorsShown = 10;
const warningsShown = 10;

/**
 * Claims that did not pass as workflow commands for the log of a CI job: `fail` and `error` as errors, `inconclusive`
 * and what is in quarantine as warnings, each at the line of the spec file that asks for what decided it. Figures and words of strangers are escaped, so they cannot start a command of their own.
 */
export function renderAnnotations(record: RunRecord, warning: string | null = null): string {
  const claims = claimsWorstFirst(record);
  const isError = (spec: SpecRecord): boolean =>
    (spec.verdict === 'fail' || spec.verdict === 'error') && !isHeldBack(spec);
  const errors = claims.filter(isError);
  const warnings = claims.filter(
    (spec) => spec.verdict === 'inconclusive' || (isHeldBack(spec) && spec.verdict !== 'not run'),
  );
  const reused = reusedText(record);
  const broken = benchBrokenText(record);
  const lines = [
    ...(warning === null ? [] : [`::error title=Evenfall::${data(warning)}`]),
    ...(broken === null ? [] : [`::error title=Evenfall::${data(broken)}`]),
    ...(reused === null ? [] : [`::notice title=Evenfall::${data(reused)}`]),
    ...annotated('error', errors, errorsShown),
    ...annotated('warning', warnings, warningsShown),
  ];
  return lines.map((line) => `${line}\n`).join('');
}

function annotated(kind: 'error' | 'warning', claims: readonly SpecRecord[], most: number) {
  const fits = claims.length <= most ? claims.length : most - 1;
  const lines = claims.slice(0, fits).map((spec) => annotation(kind, spec));
  const left = claims.length - fits;
  return left > 0 ? [...lines, `::${kind} title=Evenfall::${left} more claims like these`] : lines;
}

function annotation(kind: 'error' | 'warning', spec: SpecRecord): string {
  const title = `${spec.verdict}: ${spec.spec}`;
  const words = [spec.claim, claimSentence(spec), quarantineText(spec)].filter(Boolean).join(' ');
  const line = decidingFinding(spec)?.finding.line;
  const where = `file=${property(spec.file)}${line === undefined ? '' : `,line=${line}`}`;
  return `::${kind} ${where},title=${property(title)}::${data(words)}`;
}

function data(text: string): string {
  return plainText(text).replace(/%/g, '%25').replace(/\r/g, '%0D').replace(/\n/g, '%0A');
}

function property(text: string): string {
  return data(text).replace(/:/g, '%3A').replace(/,/g, '%2C');
}
