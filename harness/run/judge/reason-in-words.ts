import type { Finding } from '../../record/run-record.ts';
import { formatMeasured } from '../../units/format-quantity.ts';

/** Why a measured finding ended as it did, with its figures, for those who see the sentence alone. */
export function reasonInWords(
  { title, unit, shown, limits }: Pick<Finding, 'title' | 'unit' | 'shown' | 'limits'>,
  { value, expanded }: { readonly value: number; readonly expanded: number },
  why: string,
): string {
  const found = formatMeasured(value, expanded, unit, shown);
  return `${title} is ${found}, wanted ${limits.text}: ${why}`;
}
