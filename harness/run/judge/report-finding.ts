import { lampProperties } from '../../bench/lamp-properties.ts';
import type { Finding } from '../../record/run-record.ts';
import { formatMeasured } from '../../units/format-quantity.ts';
import { siUnit } from '../../units/unit.ts';
import { judge } from '../../verdict/judge.ts';
import type { SaidOfItself } from '../condition/self-reports.ts';
import { lampAnswered } from './direct-findings.ts';

/** Holds what a lamp said of itself against what it had to say. */
export function reportFinding(
  said: SaidOfItself,
  {
    rule,
    coverageFactor,
  }: { readonly rule: 'simple' | 'guarded'; readonly coverageFactor: number },
): Finding {
  const { property, expected, found, target, standard } = said;
  const { title } = lampProperties[property];
  const unit = siUnit[expected.dimension];
  const half = expected.relative ? expected.tolerance * Math.abs(target) : expected.tolerance;
  const limits = {
    lower: target - half,
    upper: target + half,
    target,
    text: `${property}: ${expected.text}`,
  };
  const common = {
    metric: lampAnswered,
    title: `${title}, as the lamp says`,
    of: 'lamp',
    unit,
    shown: unit,
    source: 'the spec itself',
    during: null,
    limits,
    rule,
    captures: [],
    evidence: { charts: [], notes: {} },
  };
  if (typeof found === 'string')
    return {
      ...common,
      outcome: { measured: false, reason: 'no-record', note: found },
      uncertainty: null,
      verdict: 'fail',
      reason: `asked for its ${property}, the lamp ${found}`,
    };
  // A figure that is to be met exactly is a number that the lamp holds, not one that is measured.
  const exact = half === 0;
  const expanded = exact ? 0 : coverageFactor * standard;
  const { verdict, reason } = judge(found, expanded, limits, rule);
  const value = formatMeasured(found, expanded, unit, unit);
  return {
    ...common,
    outcome: { measured: true, value: found },
    uncertainty: exact
      ? null
      : {
          expanded,
          coverageFactor,
          contributions: [{ name: 'step and instants of the reports', standard }],
        },
    verdict,
    reason:
      verdict === 'pass'
        ? null
        : `${common.title}, is ${value}, wanted ${expected.text}${expected.against === 'value' ? '' : ` (${formatMeasured(target, 0, unit, unit)})`}: ${reason}`,
  };
}
