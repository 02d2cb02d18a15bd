import { plainLine } from '../../files/plain-text.ts';
import { claimCondition } from '../../record/condition-words.ts';
import type { Finding } from '../../record/run-record.ts';
import { painter } from '../../report/text/paint.ts';
import { wrap } from '../../report/text/wrap.ts';
import { whyText } from '../../report/words/finding-words.ts';
import { marginText } from '../../report/words/margin-words.ts';
import { counted } from '../../report/words/prose.ts';
import { valueText } from '../../report/words/value-text.ts';
import { verdictMark, verdicts } from '../../report/words/verdict-words.ts';
import type { Io } from '../common/io.ts';
import type { HeldClaim } from './hold-against-claim.ts';

/** `{"claims": […]}`: one object per claim with its findings, figures in SI. */
export function heldJson(held: readonly HeldClaim[]): string {
  const claims = held.map(({ plan, condition, verdict, reason, findings, unheard }) => ({
    spec: plan.spec,
    claim: plan.claim,
    condition,
    verdict,
    ...(reason !== null && { why: reason }),
    ...(unheard > 0 && { answersNotJudged: unheard }),
    findings: findings.map(findingJson),
  }));
  return `${JSON.stringify({ claims })}\n`;
}

function findingJson({
  metric,
  of,
  during,
  unit,
  outcome,
  uncertainty,
  ...judged
}: Finding): object {
  const { limits, rule, verdict, reason } = judged;
  return {
    ...{ metric, of, during, verdict, rule, lower: limits.lower, upper: limits.upper },
    ...(outcome.measured
      ? { measured: true, value: outcome.value, unit, expanded: uncertainty?.expanded ?? 0 }
      : { measured: false }),
    ...(reason !== null && { why: reason }),
  };
}

/** Every claim with its findings, those that could not be judged with the reason, and the counts of both. */
export function heldText(
  held: readonly HeldClaim[],
  { colour, columns, terminal }: Pick<Io, 'colour' | 'columns' | 'terminal'>,
): string {
  const paint = painter(colour);
  const width = terminal ? Math.max(40, columns) : 110;
  const lines = held.flatMap((claim) => {
    const { plan, verdict, condition } = claim;
    const name = `${plan.folder}/${claimCondition(plan.spec, condition ?? '')}`;
    const word = `${verdictMark[verdict]} ${verdict}`;
    return [
      `${paint(verdict, word)}  ${paint('bold', plainLine(name))}`,
      ...wrap(plan.claim, width, '  '),
      ...reasonLines(claim, width),
      ...claim.findings.flatMap((finding) => findingLines(finding, width)),
      '',
    ];
  });
  return `${[...lines, ...wrap(countsText(held), width, '')].join('\n')}\n`;
}

function reasonLines({ reason, verdict, unheard }: HeldClaim, width: number): string[] {
  if (unheard > 0) {
    const what = counted(unheard, 'answer');
    const text = `${verdictMark['not run']} ${what} of the lamp: not judged: no recorded file holds them`;
    return wrap(text, width, '    ', '      ');
  }
  if (reason === null) return [];
  const word = verdict === 'not applicable' ? verdict : 'not judged';
  return wrap(`${word}: ${reason}`, width, '    ', '      ');
}

function findingLines(finding: Finding, width: number): string[] {
  const { title, of, during, verdict, limits } = finding;
  const place = during === null ? of : `${of}, during ${during}`;
  const head = `${verdictMark[verdict]} ${title} of ${place}`;
  if (verdict === 'not run')
    return wrap(`${head}: not judged: ${finding.reason}`, width, '    ', '      ');
  const left = verdict === 'pass' ? marginText(finding) : whyText(finding);
  const more = left === null ? '' : `; ${left}`;
  const figures = `${valueText(finding)}, allowed ${limits.text}: ${verdict}`;
  return wrap(`${head}: ${figures}${more}`, width, '    ', '      ');
}

function countsText(held: readonly HeldClaim[]): string {
  const findings = held.flatMap((claim) => claim.findings);
  const isJudged = ({ verdict }: Finding): boolean => verdict !== 'not run';
  const whole = held.filter(
    (claim) => claim.unheard === 0 && claim.findings.length > 0 && claim.findings.every(isJudged),
  );
  const counts = verdicts.flatMap((verdict) => {
    const count = findings.filter((finding) => finding.verdict === verdict).length;
    return count === 0 || verdict === 'not run' ? [] : [`${count} ${verdict}`];
  });
  const judged = findings.filter(isJudged).length;
  const list = counts.length === 0 ? '' : ` (${counts.join(', ')})`;
  return `Judged whole: ${whole.length} of ${counted(held.length, 'claim')}; ${judged} of ${counted(findings.length, 'finding')}${list}. Pre-compliance figures: they never certify.`;
}
