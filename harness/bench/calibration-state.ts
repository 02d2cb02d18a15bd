/** Days before the due date from which a calibration counts as `due soon` (common practice, no source). */
export const dueSoonDays = 30;

/** Holds a due date (`YYYY-MM-DD`, still valid on that day) against an instant (ISO 8601 UTC). */
export function calibrationState(due: string, instant: string): 'valid' | 'due soon' | 'overdue' {
  const day = 86_400_000;
  const left =
    (Date.parse(`${due}T00:00:00Z`) - Date.parse(`${instant.slice(0, 10)}T00:00:00Z`)) / day;
  if (left < 0) return 'overdue';
  return left <= dueSoonDays ? 'due soon' : 'valid';
}
