import type { Tolerance } from '../../record/margin.ts';
import type { UnitSymbol } from '../../units/unit.ts';
import { figureText } from './value-text.ts';

/** `1.9 s to 2.1 s`, `at most 20 ms`, `anything`: limits in SI, in the unit they are shown in. */
export function limitsText(
  { lower, upper }: Tolerance,
  { unit, shown }: { readonly unit: UnitSymbol; readonly shown: UnitSymbol },
): string {
  const low = lower === null ? null : figureText(lower, unit, shown);
  const high = upper === null ? null : figureText(upper, unit, shown);
  if (low === null) return high === null ? 'anything' : `at most ${high}`;
  return high === null ? `at least ${low}` : `${low} to ${high}`;
}
