const pattern = /^\d{4}-\d\d-\d\d(T\d\d:\d\d:\d\d(\.\d+)?Z)?$/;

/** A day `YYYY-MM-DD`, which begins at 00:00 UTC, or an instant in UTC that exists. */
export function isInstant(text: string): boolean {
  if (!pattern.test(text)) return false;
  const at = Date.parse(text);
  // 30 February is read as 2 March.
  return !Number.isNaN(at) && new Date(at).toISOString().startsWith(text.slice(0, 10));
}

/** Whether the instant `at` lies before `limit`; both ISO 8601 in UTC, or days. */
export function isBefore(at: string, limit: string): boolean {
  return Date.parse(at) < Date.parse(limit);
}
