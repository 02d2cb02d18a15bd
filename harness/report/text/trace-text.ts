import { plainLine } from '../../files/plain-text.ts';
import type { Traced, TracedClaim } from '../../record/traced.ts';
import { coveredText, gapsOf, nearestText, runText } from '../words/trace-words.ts';
import { verdictMark } from '../words/verdict-words.ts';
import { wrap } from './wrap.ts';

/** Requirements for a terminal: what is missing first, then each with its claims, their verdict, margin and run. */
export function renderTraceText(
  traced: Traced,
  {
    listed,
    counted,
    columns,
  }: { readonly listed: string; readonly counted: string; readonly columns: number },
): string {
  const width = Math.max(60, Math.min(columns, 120));
  const gaps = gapsOf(traced, listed).flatMap(({ text, names }) => {
    const told = names.length > 0 ? `${text}: ${names.join(', ')}` : text;
    return wrap(told, width, '', '  ');
  });
  const rows = traced.requirements
    .filter(({ claims }) => claims.length > 0)
    .flatMap(({ id, text, verdict, claims }) => {
      const whole =
        claims.length > 1 && verdict !== null ? ` (${verdictMark[verdict]} ${verdict})` : '';
      return [...wrap(`${id}  ${text}${whole}`, width, '', '  '), ...claimLines(claims)];
    });
  const head = wrap(`${coveredText(traced)}; ${counted}`, width, '');
  const parts = [gaps, head, rows].filter((part) => part.length > 0);
  return `${parts.map((part) => part.join('\n')).join('\n\n')}\n`;
}

function claimLines(claims: readonly TracedClaim[]): string[] {
  const cells = claims.map((claim) => {
    const { spec, result } = claim;
    if (result === null) return ['- not run', '', spec, ''];
    const { verdict } = result.spec;
    return [`${verdictMark[verdict]} ${verdict}`, nearestText(result.spec), spec, runText(claim)];
  });
  return cells.map(([verdict = '', margin = '', spec = '', run = '']) => {
    const columns = [verdict.padEnd(16), margin.padEnd(14), spec.padEnd(26), run];
    return `  ${plainLine(columns.join('  ')).trimEnd()}`;
  });
}
