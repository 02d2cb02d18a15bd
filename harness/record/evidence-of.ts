import type { CaptureRecord, ConditionRecord, Finding } from './run-record.ts';

type Condition = Pick<ConditionRecord, 'captures'>;

/** The captures with a file that a finding of the condition rests on, in the order of the record. */
export function filedCaptures(
  { captures }: Condition,
  finding: Pick<Finding, 'captures'>,
): readonly CaptureRecord[] {
  return captures.filter(({ id }) => finding.captures.includes(id));
}

/** Ids of the captures without a file that it rests on: readings of a colour sensor are kept in the record itself. */
export function unfiledCaptures(
  { captures }: Condition,
  finding: Pick<Finding, 'captures'>,
): readonly string[] {
  return finding.captures.filter((id) => !captures.some((capture) => capture.id === id));
}
