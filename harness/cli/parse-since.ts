import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';

const dayLength = 86_400_000;

/** An instant from `2026-03-04`, `2026-03-04T05:06Z`, or an age: `36 h`, `14 d`, `6 w`. ISO 8601 UTC. */
export function parseSince(text: string, now: Date, option: string): string {
  const age = /^(\d+(?:\.\d+)?)\s*(h|d|w)$/.exec(text.trim());
  if (age) {
    const unit = { h: dayLength / 24, d: dayLength, w: 7 * dayLength }[age[2]!]!;
    return new Date(now.getTime() - Number(age[1]) * unit).toISOString();
  }
  const instant = /^\d{4}-\d\d-\d\d/.test(text) ? new Date(text) : new Date(Number.NaN);
  if (Number.isNaN(instant.getTime())) {
    const sentence = `${option}: expected a date such as 2026-03-04 or an age such as 14 d, found ${JSON.stringify(text)}`;
    throw new Complaint(exitCodes.usage, sentence);
  }
  return instant.toISOString();
}
