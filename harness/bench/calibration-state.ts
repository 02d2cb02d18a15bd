/** Days before the due date from which a calibration counts as `due soon` (common practice, no source). */
export const dueSoonDays = 30;

/** Whole days from an instant (ISO 8601, UTC) or a day (`YYYY-MM-DD`) to the day on which something is due. */
export function daysUntil(due: string, instant: string): number {
  const day = (text: string): number => Date.parse(`${text.slice(0, 10)}T00:00:00Z`) / 86_400_000;
  return Math.round(day(due) - day(instant));
}

/** State of a calibration at an instant; on its due date it is still valid. */
export function calibrationState(due: string, instant: string): 'valid' | 'due soon' | 'overdue' {
  const left = daysUntil(due, instant);
  if (left < 0) return 'overdue';
  return left <= dueSoonDays ? 'due soon' : 'valid';
}
