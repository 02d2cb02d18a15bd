import type { Finding } from '../../record/run-record.ts';
import { margin } from './worst-first.ts';

/** `62 % of the tolerance left`; null where the value is not inside, or there is nothing to be inside of. */
export function marginText(finding: Finding): string | null {
  const share = marginShare(finding);
  return share === null ? null : `${share} of the tolerance left`;
}

/** `62 %`: how much of the tolerance is left, in whole percent. */
export function marginShare(finding: Finding): string | null {
  const share = marginLeft(finding);
  if (share === null) return null;
  return share < 0.01 ? '< 1 %' : `${Math.floor(100 * share + 1e-9)} %`;
}

/** Share of the tolerance that is left, 0 to 1; null where the value is not inside, or the tolerance is one value and cannot be used up. */
export function marginLeft(finding: Finding): number | null {
  const { lower, upper } = finding.limits;
  if (upper === lower || (lower === null && upper === 0)) return null;
  const share = margin(finding);
  // An answer or a count that is right is on its limit, and has nothing to spare.
  return Number.isFinite(share) && share > 0 ? share : null;
}
