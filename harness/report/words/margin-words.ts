import { marginOf, type Tolerance } from '../../record/margin.ts';
import type { Finding } from '../../record/run-record.ts';

/** `62 % of the tolerance left`; null where the value is not inside, or there is nothing to be inside of. */
export function marginText(finding: Finding): string | null {
  const share = marginShare(finding);
  return share === null ? null : `${share} of the tolerance left`;
}

/** `62 %`: how much of the tolerance is left, in whole percent. */
export function marginShare(finding: Finding): string | null {
  return leftShare(heldValue(finding));
}

/** Share of the tolerance that is left, 0 to 1; null where the value is not inside, or the tolerance is one value and cannot be used up. */
export function marginLeft(finding: Finding): number | null {
  return leftOf(heldValue(finding));
}

/** A value, null where it could not be measured, and what it is held against. SI. */
type HeldValue = Tolerance & { readonly value: number | null };

function heldValue({ outcome, limits: { lower, upper } }: Finding): HeldValue {
  return { value: outcome.measured ? outcome.value : null, lower, upper };
}

/** `62 % left`, `90 % beyond`, `12 × beyond`; nothing where that cannot be told in parts. */
export function leftWords(held: HeldValue): string {
  const left = leftShare(held);
  if (left !== null) return `${left} left`;
  const beyond = -marginOf(held);
  if (!Number.isFinite(beyond) || beyond <= 0) return '';
  const size = beyond < 10 ? `${Math.ceil(beyond * 100 - 1e-9)} %` : `${Math.round(beyond)} ×`;
  return `${size} beyond`;
}

/** `62 %`, as `marginShare` says it of a finding. */
function leftShare(held: HeldValue): string | null {
  const share = leftOf(held);
  if (share === null) return null;
  return share < 0.01 ? '< 1 %' : `${Math.floor(100 * share + 1e-9)} %`;
}

function leftOf(held: HeldValue): number | null {
  const { lower, upper } = held;
  if (upper === lower || (lower === null && upper === 0)) return null;
  const share = marginOf(held);
  // An answer or a count that is right is on its limit, and has nothing to spare.
  return Number.isFinite(share) && share > 0 ? share : null;
}
